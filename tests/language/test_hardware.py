"""The user's hardware list: what is read, and how mistakes in it are told."""

from __future__ import annotations

from pathlib import Path

import pytest

from notelint.errors import BadHardwareList
from notelint.language import load_hardware_list, read_language
from notelint.model import Layout
from tests.language.passages import note


@pytest.mark.parametrize("separator", [",", ";", "\t"], ids=["comma", "semicolon", "tab"])
def test_list_reads_with_any_separator(tmp_path: Path, separator: str) -> None:
    path = tmp_path / "list.csv"
    rows = [["mark", "device", "uplift_lb"], ["QX22", "holdown", "4565"], ["ZZ-1", "", ""]]
    path.write_text("\n".join(separator.join(row) for row in rows), encoding="utf-8")
    first, second = load_hardware_list(path).lines
    assert (first.mark, first.device, first.uplift_lb, first.line) == ("QX22", "hold-down", 4565, 2)
    assert (second.mark, second.device) == ("ZZ-1", None)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "line 1 is empty"),
        ("device,fasteners\nstrap,x", "no column 'mark'"),
        ("mark,colour\nA1,red", "unknown column 'colour'"),
        ("mark,mark\nA1,A1", "stands twice"),
        ("mark,device\nA1,flux capacitor", "line 2: device 'flux capacitor' is unknown"),
        ("mark,uplift_lb\nA1,many", "line 2: uplift_lb 'many' is no number"),
        ("mark,uplift_lb\nA1,-5", "out of range"),
        ("mark,device\n,strap", "line 2: no mark"),
        ("mark,device\nA1,strap\nA1,strap", "line 3: mark 'A1' stands already in line 2"),
        ("mark,device\nA1,strap,more", "line 2: 3 cells under 2 columns"),
    ],
)
def test_mistake_is_told_with_file_line_and_reason(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadHardwareList, match=r"bad\.csv.*") as caught:
        load_hardware_list(path)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "bytes.csv"
    path.write_bytes(b"\xff\xfe\x00mark")
    with pytest.raises(BadHardwareList, match="UTF-8"):
        load_hardware_list(path)


def test_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadHardwareList, match="cannot be read"):
        load_hardware_list(tmp_path / "none.csv")


def test_huge_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "huge.csv"
    path.write_text("mark\n" + "A1\n" * 1_000_000, encoding="utf-8")
    with pytest.raises(BadHardwareList, match="larger than"):
        load_hardware_list(path)


def test_listed_model_is_known_where_it_is_called_out(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("mark,device\nQX22,hurricane tie\n", encoding="utf-8")
    reading = read_language(Layout(passages=(note("QX22 AT EACH TRUSS", "callout"),)), hardware=load_hardware_list(path))
    assert [(r.mark, r.device, r.joint) for r in reading.requirements] == [("QX22", "roof tie", "roof-to-wall")]
