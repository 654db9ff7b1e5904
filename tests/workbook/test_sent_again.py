"""What a worker changes while the page is being built in the browser may be lost on its way, so it is sent again."""

from collections.abc import Callable
from typing import Any

import ipywidgets as w
import pytest
from widgets.bench_page import BenchPage
from widgets.boot_page import BootPage
from widgets.delay_page import DelayPage
from widgets.panel_page import PanelPage
from widgets.question_page import SupplyPage
from widgets.scope_page import ScopePage
from widgets.sure_page import SurePage
from widgets.worker import Latest


@pytest.fixture
def changed_by_workers(monkeypatch: pytest.MonkeyPatch) -> set[w.Widget]:
    """All widgets that a job has changed so far."""
    changed: set[w.Widget] = set()
    depth = 0
    run, notify = Latest._run, w.Widget.notify_change

    def counted(latest: Latest, job: Callable[[], None]) -> None:
        nonlocal depth
        depth += 1
        try:
            run(latest, job)
        finally:
            depth -= 1

    def noted(widget: w.Widget, change: Any) -> None:
        if depth and change["name"] in widget.keys:
            changed.add(widget)
        notify(widget, change)

    monkeypatch.setattr(Latest, "_run", counted)
    monkeypatch.setattr(w.Widget, "notify_change", noted)
    return changed


@pytest.mark.parametrize("page", [BootPage, SupplyPage, DelayPage, PanelPage, ScopePage, SurePage, BenchPage])
def test_whatever_the_first_answers_change_is_sent_again(page, changed_by_workers, work, monkeypatch):
    frame = page(threaded=False).frame
    again: list[w.Widget] = []
    monkeypatch.setattr(w.Widget, "send_state", lambda widget, key=None: again.append(widget))
    frame.send_again()
    assert len(changed_by_workers) > 1
    assert changed_by_workers <= set(again)
