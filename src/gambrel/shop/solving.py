"""The process that solves one plan, `python -m gambrel.shop.solving PLAN`, or answers a question of one, with
`--question NUMBER`. Started by the shop, not by people."""

from __future__ import annotations

import os
import sys
import threading


def main(plan_id: int) -> None:
    import django

    django.setup()
    from gambrel.shop.records.services import plan as plans

    ended, enough = threading.Event(), threading.Event()
    watcher = threading.Thread(
        target=plans.keep_alive, args=(plan_id, ended, lambda: os._exit(0), enough), daemon=True
    )
    watcher.start()
    try:
        plans.solve(plan_id, enough=enough.is_set)
    finally:
        ended.set()


def answer(question_id: int) -> None:
    import django

    django.setup()
    from gambrel.shop.records.services import plan_questions as questions

    ended = threading.Event()
    threading.Thread(target=questions.keep_question_alive, args=(question_id, ended), daemon=True).start()
    try:
        questions.answer(question_id)
    finally:
        ended.set()


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gambrel.shop.settings")
    if sys.argv[1] == "--question":
        answer(int(sys.argv[2]))
    else:
        main(int(sys.argv[1]))
