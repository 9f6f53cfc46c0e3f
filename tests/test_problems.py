"""Problems as they are shown."""

from __future__ import annotations

from handover.problems import one_problem


def test_a_file_name_gives_the_terminal_no_orders():
    told = str(one_problem("a\x1b[31m\u202eb.yaml", "é °C  Ω – is kept", "Write\u00a0it."))
    assert told == "a?[31m?b.yaml: é °C  Ω – is kept\n    Write\u00a0it."
