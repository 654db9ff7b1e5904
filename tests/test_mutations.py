"""The list of mutations fits the sources: a text that is not found once is a rule that nothing breaks any more."""

import pytest

from .mutations import MUTATIONS, ROOT, mutated


@pytest.mark.parametrize("change", MUTATIONS, ids=lambda change: change.name)
def test_a_mutation_is_of_the_sources_as_they_are(change):
    text = (ROOT / "inrushlib" / change.file).read_text(encoding="utf-8")
    assert mutated(text, change) != text
    assert all((ROOT / path.partition("::")[0]).exists() for path in change.tests)
