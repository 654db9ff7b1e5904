"""Units on a page by their signs."""


def signs(text: str) -> str:
    """Return a quantity, or a text that names some, with Ω where it has ohm."""
    return text.replace("ohm", "Ω")
