"""What a length is for: spacing, embedment, end distance, diameter, length, ... told by the words on either side."""

from __future__ import annotations

import re

from notelint.language.quantities import FIGURE, Quantity, figure

_WINDOW = 64
_BLANKS = re.compile(r"\s{2,}")
_LIMIT = r"(?:\s?[,(]?\s?(?:min(?:imum)?\b\.?|max(?:imum)?\b\.?|at (?:the )?(?:most|least)|or (?:less|more)|clear)\)?)*"
_CONCRETE = (
    r"(?:the |each |a )?(?:new |existing |\(e\) |\(n\) )?(?:concrete|conc\b\.?|slab|footing|ftg\b\.?|stem|foundation|fdn\b\.?|grade "
    r"beam|pier|pad|masonry|grout|wall|thickened|edge|turn(?:ed)?[- ]?down|pour)"
)

_AFTER: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("spacing", re.compile(
        rf"{_LIMIT}\s?,?\s?(?:o\.?\s?/?\s?c\b\.?|oc\b|on[ -]?(?:the )?cent(?:er|re)s?\b|on ctrs?\b\.?|c\.?\s?/\s?c|c\.?c\b\.?"
        rf"|c\.? to c|apart"
        rf"|spacing|spaces\b|intervals?|cent(?:er|re)s\b|ctrs?\b\.?|cent(?:er|re) to cent(?:er|re)|maximum spacing|max\.? spacing)"
    )),
    ("embedment", re.compile(
        rf"{_LIMIT}\s?(?:of )?(?:[ei]mbed\w*|(?:buried|sunk)\b(?!\s\d)|emb\b\.?|embd?m?t\b\.?|deep in(?:to)? {_CONCRETE}|(?:cast "
        rf"|set |down |deep "
        rf"|drilled |epoxied |of (?:that|it|which|(?:its|their) length|this|(?:each|the|every) bolt) |(?:sits?|stands?|lies?|is"
        rf"|are|goes?|go) "
        rf"|hook(?:ed)? |bedded )?in(?:to)? {_CONCRETE}|in(?:to)?\s?(?:$|[,;.)])|below (?:the )?(?:top of )?(?:concrete|slab))"
    )),
    ("end distance", re.compile(
        r"{L}\)?\s?(?:away )?(?:in )?(?:from|of|off)\s(?:the\s|each\s|ea\.?\s|every\s|both\s|all\s|either\s|its\s|a\s|any\s|plate\s|sill\s"
        r"|mudsill\s|piece\s|board\s|their\s)*(?:plate |pl\.? |sill |mudsill |wall |board |piece |row |stick |length )?(?:ends?\b"
        r"|corners?\b"
        r"|splices?\b|joints?\b"
        r"|breaks?\b|cuts?\b|edges? of (?:plate|sill|opening)|where (?:the |each |any |every |a |its )?(?:\w+ ){0,4}?(?:stops|ends|begins"
        r"|starts|is (?:cut|spliced|butted)|breaks))".replace("{L}", _LIMIT))),
    ("reach", re.compile(r"{L}\s?(?:past|beyond|each side of (?:the )?(?:cut|opening|hole|notch))".replace("{L}", _LIMIT))),
    ("diameter", re.compile(r"\s?-?(?:dia\b\.?|diam\b\.?|diameters?\b|\u00f8|o\.?d\.)")),
    ("width", re.compile(r"\s?(?:wide|width|w\.)\b")),
    ("thickness", re.compile(r"\s?(?:thick|thickness|thk\b\.?)")),
    ("depth", re.compile(r"\s?(?:deep|depth)\b")),
    ("height", re.compile(r"\s?(?:high|tall|height|above)\b")),
    ("length", re.compile(r"\s?(?:long|length|lg\b\.?)")),
    ("edge distance", re.compile(
                _LIMIT + r"\s?(?:from|inside|in from)\s(?:the\s)?(?:\w+\s){0,2}(?:face|edge|form|outside)")),
)  # fmt: skip
_BEFORE: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("embedment", re.compile(
        rf"(?:\bburied|\bsunk|[ei]mbed(?:ded|ment|s|ment depth)?\b\.?|emb\.|embedment of|embeds"
        rf"|depth in(?:to)? (?:the )?(?:conc(?:rete)?\b\.?|slab"
        rf"|footing|stem wall))\s?[:=,]?\s?(?:a\s|of\s|at\s|to be\s|shall be\s|is\s"
        rf"|depth\s|min(?:imum)?\b\.?\s?|not less than\s|at least\s|{FIGURE}\s?x\s?)*$"
    )),
    ("end distance", re.compile(
        r"(?:end distance|distance from (?:plate |sill )?ends?|plate ends)\s?(?:of|:|=|is|shall be|to be)?\s?(?:not (?:more|less) than"
        r"|max\.?|min\.?)?\s?$"
    )),
    ("spacing", re.compile(
        r"(?:@|\b(?:no|not) (?:farther|further|more) apart than|\bat\b|\bat every|\bevery\b|\beach\b|\bspaced|spacing"
        r"|spaced not (?:more|over|greater) than|o\.c\. at|\bo\.?c\.?"
        r"|intervals of|centers of)\s?(?:of|:|=|is|shall be|to be|not to exceed|not (?:more|over|greater) than|no more than"
        r"|max(?:imum)?\b\.?|a max(?:imum)? of|at|a)?\s?(?:max(?:imum)?\b\.?|of)?\s?$"
    )),
    ("diameter", re.compile(r"(?:dia\.?|diameter|\u00f8)\s?(?:of|:|=)?\s?$")),
    ("length", re.compile(r"(?:length|\bl|long)\s?(?:of|:|=)\s?$")),
    ("width", re.compile(r"width\s?(?:of|:|=)\s?$")),
    ("thickness", re.compile(r"thick(?:ness)?\s?(?:of|:|=)\s?$")),
    ("reach", re.compile(r"(?:beyond|past) (?:the )?(?:cut|opening|hole|notch)(?: by| at least| a minimum of| not less than)*\s?$")),
)  # fmt: skip
_NOT_SPACING = re.compile(
    r"^\s?(?:above|below|from|past|beyond|wide|deep|high|long|thick|clear|minimum bearing|edges?\b|field\b|cover|and wider|or "
    r"wider|opening|door|window|embed)"
)
_SAID_BEFORE = re.compile(r"(?:\d|[\"'\u201d]|\d\s?in\.?|\binch(?:es)?)\s?(?:min\.?|minimum)?\s?$")
_ELSEWHERE = re.compile(r"\s?(?:elsewhere|otherwise|at all other|at other)")
_TO_ENDS = re.compile(
    r"(?:(?:max(?:imum)?|min(?:imum)?)\b\.?,?\s?(?:and\s)?(?=\d))?(?:(?:in\.?|\"|'|inch(?:es)?)\s)?(?:,?\s?(?:and|nor|or"
    r"|but)\s(?:not\s)?(?:less|more|over|under|closer|farther"
    r"|further)\s(?:than\s|to\s)?)?"
    rf"(?:{FIGURE}\s?(?:in\.?|\"|inch(?:es)?)?)?\s?(?:max(?:imum)?\.?|min(?:imum)?\.?)?\s?(?:from|of"
    rf"|off)\s(?:\w+\s){{0,4}}?(?:ends?|corners?|splices?)\b"
)


_METRIC_BEFORE = re.compile(r"(?:\d[\d.]*(?:\s?(?:to|-|x)\s?\d[\d.]*)?\s?(?:mm\b)?\s?)\(\s?$")
_SET = re.compile(r"\b(?:cast|set|hooked|drilled|epoxied|grouted|bedded)(?: in)?(?: to)?(?: at least| not less than| a minimum of)?\s?$")
_IN_CONCRETE = re.compile(r"\s(?:the )?concrete(?:$|[,;.)])")
_DEEP = re.compile(r"\s?(?:min(?:imum)?\b\.?\s?)?(?:deep|down)\b")


def role_of(text: str, quantity: Quantity) -> str | None:
    """What the length `quantity` of `text` (plain form) is for; None where the words do not say."""
    if quantity.unit != "in":
        return None
    after = _BLANKS.sub(" ", text[quantity.end : quantity.end + _WINDOW])
    before = _BLANKS.sub(" ", text[max(0, quantity.start - _WINDOW) : quantity.start])
    metric = _METRIC_BEFORE.search(before)
    if metric and after.lstrip().startswith(")"):  # 1200 (48") centres
        before, after = before[: metric.start()], after.lstrip()[1:]
    if text[quantity.end - 2 : quantity.end] == "in" and _IN_CONCRETE.match(after):  # "12 long, 7 in concrete"
        return "embedment"
    if _SET.search(before) and _DEEP.match(after):
        return "embedment"
    for role, pattern in _AFTER[:1]:
        if pattern.match(after):
            return role
    if _TO_ENDS.match(after.lstrip()) and quantity.value <= 24:
        return "end distance"
    for role, pattern in _AFTER[1:]:
        if pattern.match(after):
            return role
    if _ELSEWHERE.match(after) and "spac" in text[max(0, quantity.start - 90) : quantity.start]:
        return "spacing"
    for role, pattern in _BEFORE:
        found = pattern.search(before)
        if found is None or (role == "spacing" and _NOT_SPACING.match(after)):
            continue
        if role == "embedment" and not found.group().startswith(("buried", "sunk")) and _SAID_BEFORE.search(before[: found.start()]):
            continue  # 7" embed., 12" max.: the word belongs to the figure before it
        return role
    return None


def largest(quantity: Quantity) -> float:
    """The upper end of a range, or the value."""
    return quantity.high if quantity.high is not None else quantity.value


_MORE_LESS = re.compile(
    rf"(?:not|no) (?:more|over|farther|greater|further) than ({FIGURE})\s?(?:in\b\.?|inch(?:es)?|\")?,? (?:and|or|nor|but)(?: not| no)? "
    rf"(?:less|under|closer) than ({FIGURE})"
    rf"|(?:not|no) (?:less|under|closer) than ({FIGURE})\s?(?:in\b\.?|inch(?:es)?|\")?,? (?:and|or|nor|but)(?: not| no)? (?:more|over"
    rf"|farther"
    rf"|further|greater) than ({FIGURE})"
    rf"|({FIGURE})\s?(?:in\b\.?|inch(?:es)?|\")? ?max(?:imum)?\b\.?,? ?(?:and|/|or|,)? ?({FIGURE})\s?(?:in\b\.?|inch(?:es)?|\")? ?min"
    rf"|({FIGURE})\s?(?:in\b\.?|inch(?:es)?|\")? ?min(?:imum)?\b\.?,? ?(?:and|/|to|,)? ?({FIGURE})\s?(?:in\b\.?|inch(?:es)?|\")? ?max"
    rf"|between ({FIGURE})\s?(?:in\b\.?|inch(?:es)?|\")? and ({FIGURE})\s?(?:in\b\.?|inch(?:es)?|\")?"
)
_ENDS = re.compile(r"\b(?:ends?|where \w+ (?:\w+ ){0,3}?(?:stops|starts)|splices?|corners?|pl(?:ate|\.)? (?:breaks?|joints?))\b")


def end_distance(text: str, found: list[tuple[Quantity, str | None]]) -> float | None:
    """The largest distance from plate ends, inches, that `text` allows; None where it gives none."""
    for match in _MORE_LESS.finditer(text):
        if _ENDS.search(text[match.end() : match.end() + 60]) or _ENDS.search(text[max(0, match.start() - 40) : match.start()]):
            values = [v for v in (figure(g) for g in match.groups() if g) if v is not None]
            if values:
                return max(values)
    values = [largest(q) for q, role in found if role == "end distance"]
    return max(values) if values else None
