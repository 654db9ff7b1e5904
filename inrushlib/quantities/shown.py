"""Values as messages show them.

``shown``   one line, whatever a file holds
"""

from __future__ import annotations


def shown(value: object, longest: int = 60) -> str:
    """A value as a message shows it: quoted text, plain numbers, and never too much of either.

    Parameters
    ----------
    value : object
        Anything that a file can hold.
    longest : int
        Characters [1] after which the text is cut.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> shown("2 V"), shown(True), shown([1, 2.5]), shown({"low": 1})
    ('"2 V"', 'true', '[1, 2.5]', '{ low = 1 }')
    """
    text = _written(value)
    return text if len(text) <= longest else f"{text[: longest - 3]}..."


def _written(value: object) -> str:
    match value:
        case None:
            return "nothing"
        case bool():
            return "true" if value else "false"
        case str():
            printable = "".join(c if c.isprintable() else "?" for c in value[:200])
            return f'"{printable}"'
        case int():
            return str(value) if abs(value) < 10**20 else "a whole number of more than 20 digits"
        case float():
            return repr(float(value))
        case dict():
            flat = not any(isinstance(entry, dict | list) for entry in value.values()) and 0 < len(value) < 5
            pairs = ", ".join(f"{key} = {_written(entry)}" for key, entry in value.items()) if flat else ""
            return f"{{ {pairs} }}" if flat and pairs.isprintable() else "a table"
        case list() | tuple():
            # Nested lists are not followed further than pairs: a file may nest them a thousand deep.
            parts = ["a list" if _holds_lists(item) else _written(item) for item in value[:40]]
            return f"[{', '.join(parts)}]"
    return type(value).__name__


def _holds_lists(value: object) -> bool:
    return isinstance(value, list | tuple) and any(isinstance(item, list | tuple) for item in value)
