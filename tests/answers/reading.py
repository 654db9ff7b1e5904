"""An answer's words as data: what is a number stays one, so that no test hangs on how a medium writes it."""

from inrushlib.answers.blocks import Beyond, Key, Lines, Strong, Temperature, Value


def told(words):
    """Words as a list: texts as they are, a value as (number, unit), a temperature as (number, "C")."""
    match words:
        case str():
            return [words] if words else []
        case Value():
            return [(words.value, words.unit)]
        case Temperature():
            return [(words.value, "C")]
        case Key():
            return [words.dotted]
        case Strong() | Beyond():
            return told(words.words)
        case Lines():
            return [told(item) for item in words.items]
    found = []
    for piece in words:
        for each in told(piece):
            if isinstance(each, str) and found and isinstance(found[-1], str):
                found[-1] += each
            else:
                found.append(each)
    return found


def only(words):
    """The one piece that words are; None where they are empty."""
    found = told(words)
    assert len(found) <= 1, found
    return found[0] if found else None


def rows_of(table):
    """A table's rows, each cell as its one piece; a column of numbers is told to be one, and each once."""
    rows = [[only(cell) for cell in row] for row in table.rows]
    assert list(table.numbers) == sorted(set(table.numbers))
    assert max(table.numbers, default=0) < len(table.heads)
    values = {i for i, column in enumerate(zip(*rows, strict=True)) if all(isinstance(each, tuple) for each in column)}
    assert values - {0} <= set(table.numbers), (table.caption, values)
    return rows


def facts_of(facts):
    """Names and words of facts."""
    return {name: told(words) for name, words in facts.rows}


def block_of(answer, caption):
    """The block of an answer with a caption."""
    blocks = [part for block in answer.blocks for part in (block, *getattr(block, "blocks", ()))]
    (found,) = (block for block in blocks if getattr(block, "caption", None) == caption)
    return found
