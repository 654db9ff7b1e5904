"""The words of the trade that the pages use, each in a sentence.

``GLOSSARY``        words and their meaning
``glossary_html``   all of them as a list, each with an anchor
``linked``          a text whose ``[words]`` lead to the list
"""

from __future__ import annotations

import re

from inrushlib.text import for_html

GLOSSARY: dict[str, str] = {
    "ampacity": "The current that a wire may carry for good without its insulation getting too hot.",
    "boot time": "From the end of reset until the controller's program runs.",
    "brown-out": "The controller's rail falls below the level at which it resets itself.",
    "bulk capacitor": "A large capacitor that carries the load for milliseconds; its series resistance makes a step.",
    "bus": "Where lead, controller and display meet.",
    "capture": "What a scope recorded, as a file.",
    "constant-current": "An adapter that holds its current at the limit while its voltage falls.",
    "content": "The running picture: what the display shows when it works.",
    "dropout": "The least difference that a regulator needs between its input and its output.",
    "duty": "Share of full brightness of one colour of a pixel, 0 to 1.",
    "feed": "A pair of wires from the bus to one place of the display.",
    "first frame": "The first data that the program sends; until then a pixel shows its power-on colour.",
    "foldback": "An adapter that lowers its current limit as its voltage falls, so that an overload gets less.",
    "gate": "The terminal of the switch whose voltage turns it on; a resistor and capacitors make it slow.",
    "hiccup": "An adapter that goes off when overloaded and tries again after a while.",
    "inrush": "The current that charges empty capacitors and lights pixels at power-on.",
    "jumper": "A pair of wires from the end of one section to the beginning of the next.",
    "current limit": "The most that an adapter gives, usually 1.1 to 1.5 times what its label says.",
    "minimum supply for data": "The supply from which a pixel takes data; below it a frame is lost on it.",
    "lump": "A group of neighbouring pixels that the model treats as one.",
    "margin": "How far a start was from turning out otherwise: a voltage, a time or a share.",
    "misfit": "The sum of squares of measured minus modelled, over what the noise and the instrument explain.",
    "odds": "The share of runs that boot when every value lies anywhere in its range.",
    "operating point": "Where the adapter gives what the load draws, so that nothing changes any more.",
    "output resistance": "How far an adapter's voltage falls for each ampere, below its limit.",
    "power-on colour": "What a pixel shows from power-on until its first data: white for many.",
    "range": "From the lowest to the highest value that a part may have, stated, measured or typical.",
    "rail": "The controller's own 3.3 V, behind its regulator.",
    "reservoir": "A capacitor behind a diode that carries the controller through a dip of the bus.",
    "reset": "The controller waits until its rail has been high enough for long enough.",
    "section": "A tile or strip of pixels, wired on from the one before.",
    "soft start": "The adapter's voltage rises over some milliseconds instead of at once.",
    "switch": "A transistor between bus and display that the program closes when it is ready to send data.",
}


def glossary_html() -> str:
    """Return the words and their meaning as a list."""
    items = "".join(
        f'<dt id="{_anchor(word)}" tabindex="-1">{for_html(word)}</dt><dd>{for_html(meaning)}</dd>'
        for word, meaning in sorted(GLOSSARY.items())
    )
    return f'<dl class="wb-glossary">{items}</dl>'


def linked(html: str) -> str:
    """Return a text of our own whose words in brackets lead to the list.

    Parameters
    ----------
    html : str
        With words as ``[brown-out]``, or ``[word|as it stands in the sentence]``.

    Raises
    ------
    KeyError
        For a word that the glossary does not have.

    Examples
    --------
    >>> linked("a [brown-out] follows")
    'a <a href="#wb-word-brown-out">brown-out</a> follows'
    """

    def link(found: re.Match[str]) -> str:
        word, _, shown = found[1].partition("|")
        if word not in GLOSSARY:
            raise KeyError(word)
        return f'<a href="#{_anchor(word)}">{shown or word}</a>'

    return re.sub(r"\[([^]]+)\]", link, html)


def _anchor(word: str) -> str:
    return f"wb-word-{word.replace(' ', '-')}"
