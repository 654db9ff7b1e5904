"""One build: the parts, their wiring, the firmware and the run, read from one TOML file.

``load_build``, ``parse_build``, ``new_build``
    a ``Build`` from a file, a text, or values
``Build``
    all resolved values; ``with_values`` gives a changed copy, ``get`` one value by its dotted key,
    ``differences`` what differs between two
``save_build``, ``to_toml``
    back to a file, with the comments and the layout that it had
``build_keys``
    what is known of each key: unit, bounds, default, meaning, where to find it
"""

from inrushlib.build.build import Build
from inrushlib.build.files import load_build, new_build, parse_build, save_build, to_toml
from inrushlib.build.values import FORMAT_VERSION
from inrushlib.parts import KeyInfo, build_keys

__all__ = [
    "FORMAT_VERSION", "Build", "KeyInfo", "build_keys", "load_build", "new_build", "parse_build",
    "save_build", "to_toml",
]  # fmt: skip
