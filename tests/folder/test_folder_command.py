"""The command as a person calls it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pikepdf
import pytest
from typer.testing import CliRunner

from notelint.cli import app
from notelint.model import CAUTION

CALL = "from notelint.cli import main; main()"
NOTES = (
    "STRUCTURAL NOTES",
    "1. HOLD-DOWNS HD-3 AT EACH END OF SHEAR WALLS.",
    "2. ROOF TRUSSES TIED TO TOP PLATE WITH RT-2 TIES, 10d NAILS.",
)


def plan_set(path: Path) -> None:
    """A small sound set."""
    pdf = pikepdf.new()
    font = pikepdf.Dictionary(Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name.Helvetica)
    shown = "".join(f"({note}) Tj T* " for note in NOTES)
    content = pdf.make_stream(f"BT /F1 10 Tf 14 TL 40 700 Td {shown} ET".encode())
    page = pikepdf.Dictionary(
        Type=pikepdf.Name.Page, MediaBox=[0, 0, 1224, 792], Contents=content, Resources={"/Font": pikepdf.Dictionary(F1=font)}
    )
    pdf.pages.append(pikepdf.Page(page))
    path.parent.mkdir(parents=True, exist_ok=True)
    pdf.save(path)


def notelint(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """One call, its outputs piped."""
    return subprocess.run([sys.executable, "-c", CALL, *map(str, words)], capture_output=True, text=True, timeout=120, check=False)


def test_a_folder_is_read_summed_up_and_gone_on_with(tmp_path: Path) -> None:
    """A set that cannot be read makes exit code 3 and costs no other; mended, the run goes on and reads it alone."""
    folder, out = tmp_path / "in", tmp_path / "out"
    plan_set(folder / "a.pdf")
    plan_set(folder / "deep" / "b.pdf")
    (folder / "cut.pdf").write_bytes((folder / "a.pdf").read_bytes()[:300])
    first = notelint("folder", folder, "--out", out, "--write", "page,log,json", "--workers", 1)
    assert first.returncode == 3, first.stderr
    assert first.stderr == ""
    assert "not read: cut.pdf: the PDF is cut off" in first.stdout
    assert CAUTION.split(".")[0] in first.stdout
    for name in ("a.pdf/a.page.html", "a.pdf/a.log.xlsx", "a.pdf/a.review.json", "deep/b.pdf/b.page.html", "summary.html", "summary.xlsx"):
        assert (out / name).is_file()
    asked = json.loads((out / "a.pdf" / "a.review.json").read_text(encoding="utf-8"))["questions"]
    assert asked
    plan_set(folder / "cut.pdf")
    second = notelint("folder", folder, "--out", out, "--write", "page,log,json", "--workers", 1)
    assert second.returncode == 1
    assert "3 read, 0 not read (2 by an earlier run, unchanged)" in second.stdout
    assert f"{3 * len(asked)} questions in 3 sets" in second.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--write", "poem"), "--write poem: no such format"),
        (("--rules", "gone"), "gone: no such folder of rules"),
        (("--hardware", "gone.csv"), "gone.csv"),
        (("--workers", "0"), "--workers"),
    ],
    ids=["format", "rules", "hardware", "workers"],
)
def test_wrong_usage_is_told_in_one_line(words: tuple[str, ...], said: str, tmp_path: Path) -> None:
    plan_set(tmp_path / "in" / "a.pdf")
    done = CliRunner().invoke(app, ["folder", str(tmp_path / "in"), "--out", str(tmp_path / "out"), *words])
    assert done.exit_code == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
