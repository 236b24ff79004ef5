"""Every reason is a sentence that says what to do."""

from __future__ import annotations

import pytest

from gambrel.ribface.refuse import Reason, Refusal


@pytest.mark.parametrize("reason", list(Reason))
def test_every_reason_speaks(reason: Reason) -> None:
    refusal = Refusal(reason, "something seen")
    finding = refusal.finding("side-07.jpg")
    assert finding.where == "side-07.jpg"
    assert finding.given == "something seen"
    assert finding.wanted and finding.do
    assert refusal.sentence().startswith(reason.sentence)
    assert refusal.sentence().endswith(reason.do)
    assert "error" not in refusal.sentence()


def test_no_two_reasons_say_the_same() -> None:
    assert len({reason.sentence for reason in Reason}) == len(Reason)
    assert len({reason.do for reason in Reason}) == len(Reason)
