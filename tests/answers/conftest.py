"""A start that all pages of a start tell of."""

import pytest

from inrushlib.build import new_build
from inrushlib.startup import simulate

from .made import TILES


@pytest.fixture(scope="package")
def start():
    return simulate(new_build(TILES))
