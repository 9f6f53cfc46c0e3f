"""Every published worked example that was collected goes through a rule, in a test that bears its name."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

# By the names they were collected under.  Each test's docstring says where its example was published.
EXAMPLES = (
    "ld_std_d1a", "ld_opt_d2a", "ld_mf_d4a", "rng_d6_note1", "rng_ten_14", "rng_one_14", "rng_one_oven_3",
    "ld_std_3000", "ac_24a", "ac_mca44", "wh_4500", "egc_300a", "egc_20a_6", "amp_120f", "amp_nine_12", "dw_83_200",
    "ev_48", "ev_22057_small", "ev_22057_large", "vd_120_12", "vd_240_t8", "vd_3ph_length", "vd_table9_z", "sc_1ph_ll",
    "bf_14_22", "bf_14_min", "cb_6in3", "cf_lfnc_4", "cf_emt_12", "pb_3in", "ws_16", "pvc_unit", "pvc_90ft",
    "bus_200_200", "bus_sum", "lk_300_5", "lk_250_122", "lk_250_66", "ft_ir", "ft_gfci",
)  # fmt: skip
PREFIX = "test_worked_example_"
TESTS = {
    node.name.removeprefix(PREFIX): ast.get_docstring(node)
    for path in Path(__file__).parent.glob("test_*.py")
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    if isinstance(node, ast.FunctionDef) and node.name.startswith(PREFIX)
}


@pytest.mark.parametrize("example", EXAMPLES)
def test_each_worked_example_has_a_test_that_tells_its_source(example):
    told = [docstring for name, docstring in TESTS.items() if name == example or name.startswith(f"{example}_")]
    assert told, f"no {PREFIX}{example}"
    assert all(told)
