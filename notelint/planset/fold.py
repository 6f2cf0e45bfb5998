"""Writing folded to plain ASCII, so that later stages know one spelling of a mark."""

from __future__ import annotations

import unicodedata

_TABLE: dict[int, str] = {
    **{ord(c): "'" for c in "‘’‚‛′´`ʹʼˈ＇"},
    **{ord(c): '"' for c in "“”„‟″ʺ〃＂"},
    **{ord(c): "-" for c in "‐‑‒–—―−⁃－﹣"},
    ord("‴"): "'\"",
    ord("×"): "x",
    ord("✕"): "x",
    ord("⨯"): "x",
    ord("⁄"): "/",
    ord("∕"): "/",
    ord("…"): "...",
    ord("•"): "*",
    ord("·"): ".",
    ord("∅"): "Ø",
    ord("⌀"): "Ø",
    ord("ø"): "Ø",
    ord("Φ"): "Ø",
    ord("φ"): "Ø",
    ord("º"): "°",
    ord("˚"): "°",
    0x00AD: "-",
    0xFEFF: "",
    0x200B: "",
    0xFFFD: "",
    0xFFFE: "",
    0xFFFF: "",
}
_FRACTIONS = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"


def fold(text: str) -> str:
    """Plain ASCII where a mark has a plain spelling; Ø and ° stay, since they carry meaning. `1½` becomes `1 1/2`."""
    if text.isascii():
        return text.replace("''", '"').replace("`", "'")
    out: list[str] = []
    for char in text:
        if char in _FRACTIONS:
            plain = unicodedata.normalize("NFKC", char).replace("⁄", "/")
            out.append(f" {plain}" if out and out[-1][-1:].isdigit() else plain)
            continue
        folded = _TABLE.get(ord(char))
        if folded is None:
            folded = char if char in "Ø°" or unicodedata.category(char)[0] != "C" else ""
            folded = unicodedata.normalize("NFKC", folded) if not folded.isascii() and folded not in "Ø°" else folded
        if folded:
            out.append(folded)
    return "".join(out).replace("''", '"')
