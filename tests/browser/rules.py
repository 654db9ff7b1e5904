"""Rules of accessibility, looked for on an open page in every state that it has."""

import re

from axe_playwright_python.sync_playwright import Axe

from tests.plain_words import unsaid

HARM = {"critical", "serious", "moderate"}


def findings(visit, within=None):
    """What the checker of accessibility rules finds on a page or within a part of it, the merely minor aside."""
    # Put into a page once: half of a look's time otherwise goes into reading the checker anew.
    if not visit.page.evaluate("() => 'axe' in window"):
        visit.page.evaluate(Axe().axe_script)
    found = visit.page.evaluate(
        "async (within) => (await axe.run(within || document, {resultTypes: ['violations']})).violations", within
    )
    return [(each["id"], node["html"][:200]) for each in found if each["impact"] in HARM for node in each["nodes"]]


def landed(visit):
    """Wait until names and landmarks are given, shortly after what they are for is shown."""
    visit.page.wait_for_function("""() => {
      const opened = !document.querySelector('.wb-top .mod-active')
        || document.querySelector('.wb-drawer :is(input[type=text], select)');
      return opened && document.querySelector('[role=main]') && [...document.querySelectorAll('.wb-page select')]
        .every(e => e.getAttribute('aria-label') || !e.getClientRects().length);
    }""")


def turned(visit, tab):
    """Open a question and wait until it has taken the place of the one before, where that is another."""
    button = visit.page.locator(".wb-seg").get_by_role("button", name=tab, exact=True)
    if "mod-active" not in (button.get_attribute("class") or ""):
        visit.page.evaluate("() => { document.querySelector('.wb-stage .wb-task').dataset.left = 'yes'; }")
        visit.turn(tab)
        visit.page.wait_for_function("() => document.querySelector('.wb-stage .wb-task:not([data-left])')")
    landed(visit)


def says_it_plainly(visit):
    """Nothing that can be seen on the page, or chosen or heard there, is spelled as a file or a program spells it.

    What is quoted from a file, as channels' names are, code and messages about files are left out.
    """
    texts = visit.page.evaluate(
        """() => {
          const found = [], skip = 'pre, style, code, .wb-lines, .wb-told, .wb-drawer, .wb-note, .wb-row .wb-name';
          const walk = document.createTreeWalker(document.querySelector('.wb-page'), NodeFilter.SHOW_TEXT);
          for (let node = walk.nextNode(); node; node = walk.nextNode())
            if (node.parentElement.getClientRects().length && !node.parentElement.closest(skip))
              found.push(node.textContent);
          document.querySelectorAll('.wb-key input, .wb-key [aria-label], .wb-body [title]').forEach((e) =>
            found.push(e.value || '', e.getAttribute('aria-label') || '', e.title || ''));
          return found;
        }"""
    )
    found = [each for text in texts for each in unsaid(text)]
    assert found == [], found


def begins_as_sentences_do(visit):
    """What is wrong is said with a capital first; names of files and keys, units and quotations aside."""
    said = visit.page.locator("[role=alert], .wb-why").filter(visible=True).all_inner_texts()
    small = [line for text in said for line in text.splitlines() if re.match(r"[a-z][a-z'’-]*(?:[\s:;,]|$)", line)]
    assert small == []


# Fields scroll what is typed, the title of a build may be of any length and is told in full when pointed at.
CUT = """() => [...document.querySelectorAll('.wb-page *')].filter(e => {
  const look = getComputedStyle(e);
  return e.getClientRects().length && look.overflowX !== 'visible' && e.scrollWidth > e.clientWidth + 1
    && [...e.childNodes].some(n => n.nodeType === Node.TEXT_NODE && n.textContent.trim())
    && !e.closest('.wb-title, .wb-scroll, .wb-heard, .wb-said, pre') && !e.matches('select, option');
}).map(e => e.textContent.slice(0, 60))"""


# A list sets each line without breaking it, beside its own scroll bar.
LISTS = """(words) => [...document.querySelectorAll('.wb-log select')].filter(e => e.getClientRects().length).map(e => {
  const pen = document.createElement('canvas').getContext('2d'), look = getComputedStyle(e), bar = 16;
  pen.font = `${look.fontSize} ${look.fontFamily}`;
  const room = e.clientWidth - bar - 8;
  return words.filter(each => pen.measureText(each).width > room);
}).flat()"""


def lists_cut_nothing_off(visit, words):
    """No line of a list of switchings ends where the list does, at any of three widths."""
    for width in (390, 1280, 1920):
        visit.page.set_viewport_size({"width": width, "height": 900})
        assert visit.page.evaluate(LISTS, words) == [], width


# The box that scrolls has the colour of the page, and it is dark.
GUTTER = """() => {
  const of = (name) => getComputedStyle(document.querySelector(name)).backgroundColor;
  return [of('#rendered_cells') === of('.wb-page'), Math.max(...of('.wb-page').match(/\\d+/g).map(Number)) < 60];
}"""


def cuts_nothing_off(visit):
    """No words of the page end where their place does, at any of three widths."""
    for width in (390, 1280, 1920):
        visit.page.set_viewport_size({"width": width, "height": 900})
        assert visit.page.evaluate(CUT) == [], width


SCREENS = ((1280, 720), (1366, 768), (1920, 1080))
"""Common windows [px]."""


def answers_in_the_first_screen(visit):
    """On common screens the answer ends above the foot, and so does its picture, its chosen row or its first card."""
    for width, height in SCREENS:
        visit.page.set_viewport_size({"width": width, "height": height})
        visit.page.wait_for_function(ANSWERED)


ANSWERED = """() => {
      const place = document.querySelector('.wb-stage'), foot = document.querySelector('.wb-foot');
      const shown = place.querySelector('img.wb-plot, svg.wb-plot, tr.wb-chosen, .wb-bench-card');
      const answer = place.querySelector('.wb-answer'), end = foot.getBoundingClientRect().top + 1;
      return answer && shown && answer.getBoundingClientRect().bottom <= end
        && shown.getBoundingClientRect().height > 20 && shown.getBoundingClientRect().bottom <= end;
}"""


def picture_with_all_below_it_in_the_first_screen(visit):
    """On common screens the picture's card, down to what each part is doing, ends above the foot."""
    for width, height in SCREENS:
        visit.resize(width, height)
        visit.page.wait_for_function("""() => {
          const stage = document.querySelector('.wb-stage').getBoundingClientRect();
          const doing = document.querySelector('.wb-doing').getBoundingClientRect();
          return doing.height > 10 && doing.bottom <= stage.bottom
            && stage.bottom <= document.querySelector('.wb-foot').getBoundingClientRect().top + 1;
        }""")


def breaks_no_rule(visit):
    """Look at a page light and dark, with all help folded out, with each of its questions open, enlarged."""
    page = visit.page
    cuts_nothing_off(visit)
    page.set_viewport_size({"width": 1280, "height": 900})
    landed(visit)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert findings(visit) == []
    assert page.evaluate(GUTTER) == [True, True]
    page.evaluate("() => document.querySelectorAll('.wb-page details').forEach(e => { e.open = true; })")
    assert findings(visit, ".wb-page") == []
    tabs = page.locator(".wb-seg button").all_inner_texts()
    for tab in tabs[1:]:
        turned(visit, tab)
        assert (tab, findings(visit, ".wb-stage")) == (tab, [])
    # At twice the size 1280 pixels are 640 of the style sheet: nothing scrolls sideways.
    page.set_viewport_size({"width": 640, "height": 450})
    page.wait_for_function(
        "() => [document.documentElement, document.querySelector('#rendered_cells')].every(e => e.scrollWidth <= 640)"
    )
