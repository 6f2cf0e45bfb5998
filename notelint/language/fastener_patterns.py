"""How fasteners are written: patterns over text in plain form."""

from __future__ import annotations

import re

from notelint.language.quantities import FIGURE, WORD_NUMBER
from notelint.model import FastenerKind

IN = r"(?:\s{0,3}-?(?:\"|''|inch(?:es)?\b|in\b\.?(?!(?<=n)\s(?:the|each|every|upper|lower)\b)))"
DEC = r"(?:0?\.\d{2,4}|1\.\d{1,3})"
FRAC = (
    r"(?:(?:one-half|half|quarter|three-quarter|three-eighths|five-eighths|seven-eighths)(?=[ -]inch)|1\s?[- ]\s?1/[48]"
    r"|\d{1,2}\s?/\s?(?:2|4|8|16|32)|1)"
)
LEN = rf"(?P<{{0}}>{FIGURE})(?:{IN})?(?!\s?(?:mm|ga|x\s?\d|(?:min\.?\s)?embed))(?![\d/])"
DIA_WORD = r"(?:\s?-?(?:dia\b\.?|diam\b\.?|diameter\b|Ø|ø|round\b))"
BY = r"\s?(?:x|by|×)\s{0,12}"  # a metric length before its inches is blanked out


def _length(name: str) -> str:
    return LEN.replace("{0}", name)


SIZE = re.compile(
    rf"""
      (?<![\w./])(?P<penny>\d{{1,2}})\s?-?\s?
        (?:(?<!\ )d\b|(?<=\ )d(?=\s(?:[a-z]+\s)?nails?\b|\s?@|\s?x\s?[\d.]|\s(?:common|box|sinker|galv))|d(?=x\s?\d)|penny\b)
        (?:\s?(?:(?:\w+\s)?(?:nails?|shank|common|box|sinkers?|wire|galv\w*|hot-dip\w*|h\.?d\.?g\.?|com\.?)\b\.?,?\s?){{0,4}})?
        (?:{BY}{_length("plen")}(?:\s?\(\s?(?P<pdia4>{DEC})(?:{IN})?{DIA_WORD}?\s?\))?|\s?\(\s?(?P<pdia>{DEC})(?:{IN})?{DIA_WORD}?(?:{BY}{_length("plen2")})?
          |\s?\(\s?{_length("plen3")}\s?(?:long|length)?\s?\)|,?\s{_length("plen4")}\s?(?:long|length)\b
          |{BY}(?P<pdia2>{DEC})(?:{IN})?{DIA_WORD}?(?:{BY}{_length("plen5")})?
          |\s?(?:/|,|)\s?(?P<pdia3>0?\.\d{{3}})(?:{IN})?{DIA_WORD}?{BY}{_length("plen6")}
          |\s?,?\s?(?P<pdia5>0?\.\d{{3}})(?:{IN})?{DIA_WORD})?
    | (?<!\w)n(?P<short>8|10|16)(?=[\s),;.]|$)(?:\s?nails?)?(?:\s?\(\s?(?:\d+d\s?x\s?)?{_length("slen")}\s?\)|{BY}{_length("slen2")})?
    | (?<!\w)(?:\#|no\.\s?)(?P<number>\d{{1,2}})(?:{BY}{_length("nlen")}
        |(?=\s?(?:[a-z-]+\s){{0,3}}screws?)(?:\s?(?:[a-z-]+\s){{0,3}}screws?,?\s{_length("nlen2")}\s?long)?)
    | (?<![\w./])(?P<ldia_len>{FIGURE})(?:{IN})?(?:\slong)?{BY}(?P<ldia>0?\.\d{{2,4}})(?:{IN})?{DIA_WORD}?(?!\s?x)(?![\d/])
    | (?<![\w./])(?P<lump>\d{{1,2}})-(?P<dia2>0?\.\d{{2,4}}|[1357]/(?:4|8|16))(?:{IN})?{DIA_WORD}?{BY}{_length("dlen2")}
        (?!\s?(?:plate|washer|sq|lvl|psl|glu|thick|\"?\s?x))
    | (?<![\w./])(?P<lump3>\d{{1,2}})-(?P<dia3>0?\.\d{{3}})(?:{IN})?{DIA_WORD}?(?!\s?x)
    | (?<![\w./-])(?P<dia>{DEC}|{FRAC})(?:{IN})?(?:{DIA_WORD})?(?:\s?,\s?)?{BY}{_length("dlen")}(?!\s?(?:plate|washer|sq|lvl|psl|glu|thick))
    | (?<![\w./-])(?P<howmany>\(\s?\d{{1,2}}\s?\)|\d{{1,2}}|{WORD_NUMBER})\s
        (?P<same>(?:of\s)?(?:the\s)?(?:same|such|like|these|those)\s)?
        (?:(?:total|common|connector|galv\w*|structural|wood)\.?\s){{0,2}}(?P<what>nails?|screws?)\b(?!\s(?:hole|row|spac))
    | (?<![\w./-])(?P<again>\(\s?\d{{1,2}}\s?\)|\d{{1,2}}|{WORD_NUMBER})\sof\s(?:the\s)?(?:same|these|those)\b
    | (?<![\w./-])(?P<only>{DEC}|{FRAC})(?P<unit>{IN})?(?P<word>{DIA_WORD})?
    """,
    re.VERBOSE,
)
COUNT_BEFORE = re.compile(
    rf"(?:\((?P<paren>\d{{1,3}})\)|(?<![\w./'\"])(?P<dash>\d{{1,3}})\s?-|(?<![\w./])(?P<times>\d{{1,3}})\s?x"
    rf"|(?<![\w./\"'-])(?P<bare>\d{{1,3}})(?:\s?ea(?:ch)?\b\.?)?|\b(?P<word>{WORD_NUMBER})(?:\s?\(\d{{1,3}}\))?)"
    r"\s?(?:(?:of|min\.?|minimum|rows? of|galv(?:anized)?\.?|hot-dip(?:ped)?|h\.?d\.?g\.?|stainless(?: steel)?|s\.s\.|common|box|each"
    r"|ea\.|new|full|short|total|pieces?|pcs\.?|nails?:?|screws?:?|bolts?:?)\s?,?\s?){0,3}$"
)
COUNT_AFTER = re.compile(
    rf"^\)?\s?(?:nails?|screws?|bolts?)?\s?[,:(-]?\s?(?:total (?:of )?|min\.? )?\(?(?P<n>\d{{1,3}}|{WORD_NUMBER})\)?\s?(?:nails?"
    rf"|screws?|total|required|req'?d|pcs|per (?:end|side|leg|connector|strap|tie|clip|stud|truss|rafter|flange|plate|member)"
    rf"|(?:at )?(?:each|ea\.?|both|every) (?:end|side|leg|flange|stud|member)|ea\b\.?)"
)
NOUN = re.compile(
    r"(?P<anchor>\banchor(?: |-)?bolts?\b|\ba\.\s?b\.'?s?(?=\W|$|[a-z]{2})|\ba\.?b\b'?s?|\bj-?\s?bolts?\b|\bsill bolts?\b"
    r"|\bfoundation bolts?\b|\banch\.? bolts?\b|\b(?:wedge|expansion|epoxy|adhesive|screw|drop-?in)\s?anchors?\b|\b(?:wedge|expansion"
    r"|epoxy|adhesive|sleeve)\s?bolts?\b|\banchors?\b(?! "
    r"(?:rod|strap))|\bmudsill bolts?\b)"
    r"|(?P<rod>\b(?:anchor |threaded |all-?\s?thread |tie |continuous )?rods?\b|\ball-?\s?thread\b|\ba\.?t\.?r\.?\b)"
    r"|(?P<lag>\blag(?:s|\b)(?:\s?(?:screw|bolt)s?)?)|(?P<screw>\bscrews?\b|\bscrws?\b|\bscrw?s?\b\.)|(?P<bolt>\bbolts?\b|\bm\.?b\.?\b"
    r"|\bthru-?bolts?\b)|(?P<nail>\bnails?\b|\bnls?\b\.?)"
)
KINDS: dict[str, FastenerKind] = {
    "anchor": "anchor bolt",
    "rod": "rod",
    "lag": "lag screw",
    "screw": "screw",
    "bolt": "bolt",
    "nail": "nail",
}
ELLIPTIC = re.compile(
    rf"(?:^|[,;]\s?|\band\s|&\s?|\s)(?:\((?P<n>\d{{1,3}})\)|(?P<w>{WORD_NUMBER}|\d{{1,3}}))\s(?P<again>(?:do\b\.?|ditto"
    rf"|(?:of the )?same|more"
    rf"|nails?|screws?)\s)?(?:(?P<to>(?:in)?to|in|at|into|through)\s)?(?=[a-z(])"
)
PER = re.compile(
    r"(?:(?:at |per |on |in |from )?(?:each|ea\b\.?|every|per|both|either)\s(?P<what>end|side|leg|flange|face|connector|strap|tie"
    r"|clip|stud|truss|rafter|joist|ply|plate|piece|bearing|member|post|hole|row|edge|block|bay|connection)s?\b|(?P<half>both ends"
    r"|each half))"
)
METRIC = re.compile(r"\(?\s?\d+(?:\.\d+)?(?:\s?mm)?\s?(?:x\s?\d+(?:\.\d+)?\s?)?mm\)?")
SPACED = re.compile(
    rf"^[^;(]{{0,40}}?(?:(?:@|\bat\b|\bspaced\b|\bper\b)\s?(?:every\s)?(?P<v>{FIGURE}){IN}?(?!\s?(?:x|ga|from|past|edges? "
    rf"distance))(?:\s?o\.?\s?c)?|\b(?P<v2>{FIGURE}){IN}\s?(?:o\.?\s?c|on cent|(?:at|along|on) (?:all |the |panel "
    rf"|supported |sheet )*edges))"
)
LONG = re.compile(rf"^(?:[^;(|]{{0,36}}?(?:,|\band\b))?\s{{0,14}}(?P<v>{FIGURE}){IN}?\s{{1,12}}(?:long|min(?:imum)? length|in length)\b")
AT = re.compile(r"(?:@|\bat|\bspaced|\bper|\bevery|\bspacing)\s?(?:every\s)?$")
NOT_AT = re.compile(r"\s?(?:x|ga|from|past|beyond|edge distance)")
