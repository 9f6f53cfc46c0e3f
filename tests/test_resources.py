"""Files that travel with the program are found, in a checkout and in an installed wheel."""

from __future__ import annotations

import pytest

from handover import resources
from handover.resources import shipped


def test_in_a_checkout():
    assert (shipped("site_templates", "starter") / "head.yaml").is_file()


def test_in_an_installed_wheel(tmp_path, monkeypatch):
    (tmp_path / "_shipped" / "site_templates").mkdir(parents=True)
    monkeypatch.setattr(resources, "_PACKAGE", tmp_path)
    assert shipped("site_templates") == tmp_path / "_shipped" / "site_templates"


def test_what_is_missing_is_said():
    with pytest.raises(FileNotFoundError, match=r"nothing\.css is missing; install handover again"):
        shipped("nothing.css")
