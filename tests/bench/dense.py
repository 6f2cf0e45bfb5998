"""Dense sheets: the whole review against two common readers of words, on the same files.

usage: python tests/bench/dense.py [--sheets 4 40] [--runs 3]

Draws sheets of 40,000 separate line segments and 1,500 words each (kept in the temp folder between calls), and prints for each file
a table of `notelint review`, its first stage alone, `pdftotext -bbox` and, on the small file, pdfplumber's words: wall time, processor
time, and peak memory, all processes together (of what they share each has its part: PSS); then the ratios of wall times. Memory is
looked at in a run of its own. Start-up (the same command on one nearly empty sheet) is shown apart and taken off
before the ratios are formed. Compiled modules are kept in the temp folder, as an installed program keeps them beside its own.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

SEGMENTS, WORDS = 40_000, 1_500
WIDE, TALL = 2592.0, 1728.0
VOCABULARY = (
    "PROVIDE", "STRAP", "AT", "EACH", "STUD", "WITH", "NAILS", "HOLD-DOWN", "ANCHOR", "BOLT", '1/2"', "DIA.", '16"', "O.C.", "(10)", "10d",
    "COMMON", "EXTERIOR", "WALL", "SHEATHING", "PLATE", "RAFTER", "TIE", "HEADER", "BOTH", "ENDS", "FLOOR", "TYPICAL", "U.N.O.", "SEE",
)  # fmt: skip
PLUMBER = "import sys, pdfplumber\nwith pdfplumber.open(sys.argv[1]) as pdf:\n    print(sum(len(p.extract_words()) for p in pdf.pages))"


class Run(NamedTuple):
    """Wall and processor seconds of one process with what it started, and the peak of their memory together in MB."""

    seconds: float
    processor: float
    memory: float


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sheets", type=int, nargs="*", default=[4, 40])
    parser.add_argument("--runs", type=int, default=3)
    args = parser.parse_args()
    folder = Path(tempfile.gettempdir()) / "notelint-dense"
    folder.mkdir(exist_ok=True)
    empty = sheets_file(folder, 1, segments=4, words=30)
    commands = {"notelint": review, "reading alone": reading, "pdftotext": pdftotext, "pdfplumber": pdfplumber}
    start = {name: best(command, empty, folder, args.runs) for name, command in commands.items()}
    table("start-up (one sheet of 30 words, taken off below)", start)
    for count in args.sheets:
        path = sheets_file(folder, count)
        took = {n: best(c, path, folder, args.runs) for n, c in commands.items() if n != "pdfplumber" or count <= 4}
        net = {name: took[name]._replace(seconds=took[name].seconds - s.seconds, processor=took[name].processor - s.processor)
               for name, s in start.items() if name in took}  # fmt: skip
        table(f"{count} sheets", net)
        pairs = [("notelint", "pdftotext"), ("reading alone", "pdftotext"), ("pdfplumber", "notelint")]
        for one, other in pairs:
            if one in net and other in net:
                print(f"  {one} takes {net[one].seconds / max(1e-3, net[other].seconds):.1f} times as long as {other}")


def table(title: str, runs: dict[str, Run]) -> None:
    """One line for each command."""
    print(f"{title}\n  {'':<14}{'wall s':>9}{'processor s':>13}{'peak MB':>9}")
    for name, run in runs.items():
        print(f"  {name:<14}{run.seconds:>9.2f}{run.processor:>13.2f}{run.memory:>9.0f}", flush=True)


CLI = "import sys; from notelint.cli import main; sys.exit(main())"
READ = "import sys; from pathlib import Path; from notelint.planset import read_plan_set; read_plan_set(Path(sys.argv[1]))"


def review(path: Path, folder: Path) -> list[str]:
    """The whole review, as from the command line."""
    return [sys.executable, "-c", CLI, "review", str(path), "--write", "json", "--out", str(folder)]


def reading(path: Path, folder: Path) -> list[str]:
    """Its first stage alone: words, lines and title blocks."""
    del folder
    return [sys.executable, "-c", READ, str(path)]


def pdftotext(path: Path, folder: Path) -> list[str]:
    """Words with boxes by poppler."""
    return ["pdftotext", "-bbox", str(path), str(folder / "words.html")]


def pdfplumber(path: Path, folder: Path) -> list[str]:
    """Words by pdfplumber."""
    del folder
    return [sys.executable, "-c", PLUMBER, str(path)]


def best(command, path: Path, folder: Path, runs: int) -> Run:  # type: ignore[no-untyped-def]
    """The fastest of some runs: other work on the machine only ever adds."""
    measured = [timed(command(path, folder)) for _ in range(1 if command is pdfplumber else runs)]
    return Run(min(s for s, _ in measured), min(p for _, p in measured), peak(command(path, folder)))


def started(command: list[str]) -> subprocess.Popen[bytes]:
    """The command under way."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    compiled = str(Path(tempfile.gettempdir()) / "notelint-dense" / "compiled")
    return subprocess.Popen(command, env={**kept, "PYTHONPYCACHEPREFIX": compiled}, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)


def timed(command: list[str]) -> tuple[float, float]:
    """Wall and processor seconds of one run."""
    begin = time.perf_counter()
    process = started(command)
    assert process.stderr is not None
    said = process.stderr.read()
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - begin
    process.stderr.close()
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1) or b"Traceback" in said:  # 1: there are questions
        raise SystemExit(f"{command[:4]} failed: {said.decode()[-400:]}")
    return seconds, usage.ru_utime + usage.ru_stime


def peak(command: list[str]) -> float:
    """The most memory in MB that the command's processes had together when looked at, some thirty times a second."""
    most = 0
    with started(command) as process:
        while process.poll() is None:
            most = max(most, sum(map(share, with_children(process.pid))))
            time.sleep(0.03)
    return most / 1024


def with_children(pid: int) -> list[int]:
    """A process, and all that it started and that are still there."""
    found = [pid]
    for one in found:
        with suppress(OSError):
            found += [int(child) for child in Path(f"/proc/{one}/task/{one}/children").read_text().split()]
    return found


def share(pid: int) -> int:
    """KB of memory that a process has, what it shares with others counted in part; 0 where it is gone."""
    with suppress(OSError):
        for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
            if line.startswith("Pss:"):
                return int(line.split()[1])
    return 0


def sheets_file(folder: Path, count: int, segments: int = SEGMENTS, words: int = WORDS) -> Path:
    """A file of dense sheets, drawn once."""
    path = folder / f"dense-{count}-{segments}-{words}.pdf"
    if not path.exists():
        draw(path, count, segments, words)
    return path


def draw(path: Path, count: int, segments: int, words: int) -> None:
    """Each sheet: separate strokes all over, notes in columns, a title block along the right edge."""
    from reportlab.pdfgen import canvas

    chance = random.Random(count)
    part = path.with_suffix(".part")
    sheet = canvas.Canvas(str(part), pageCompression=1, invariant=1, pagesize=(WIDE, TALL))
    for number in range(1, count + 1):
        sheet.setLineWidth(0.3)
        for _ in range(segments):
            x, y = chance.uniform(50, 2350), chance.uniform(50, 1680)
            sheet.line(x, y, x + chance.uniform(-20, 20), y + chance.uniform(-20, 20))
        sheet.setFont("Helvetica", 8)
        x, y = 60.0, 1650.0
        for row in range(words // 10):
            sheet.drawString(x, y, f"{row + 1}. " + " ".join(chance.choice(VOCABULARY) for _ in range(9)))
            y -= 11
            if y < 60:
                x, y = x + 500, 1650.0
        sheet.line(2400, 20, 2400, 1700)
        sheet.setFont("Helvetica-Bold", 30)
        sheet.drawString(2460, 50, f"S-{number}")
        sheet.showPage()
    sheet.save()
    part.rename(path)


if __name__ == "__main__":
    main()
