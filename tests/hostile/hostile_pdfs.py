"""Plan sets made to do harm: each function writes one file's bytes. Made here in whole, nothing is taken from elsewhere."""

from __future__ import annotations

import io
import random
import zlib
from collections.abc import Callable, Sequence

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, Stream

NOTES = (
    "GENERAL NOTES",
    "1. HOLD-DOWNS HD-3 AT EACH END OF SHEAR WALLS WITH 5/8 IN. ANCHOR BOLTS.",
    "2. ROOF TRUSSES TIED TO TOP PLATE WITH RT-2 TIES, (10) 10d X 1-1/2 NAILS.",
)

Made = Callable[[], bytes]
PDFS: dict[str, Made] = {}


def hostile(made: Made) -> Made:
    """Puts the file on the list under its function's name."""
    PDFS[made.__name__.replace("_", "-")] = made
    return made


def raw(objects: Sequence[bytes], *, root: int = 1, trailer: bytes = b"", header: bytes = b"%PDF-1.7\n") -> bytes:
    """A PDF of these object bodies, numbered from 1, with a right cross-reference table."""
    out, offsets = bytearray(header), []
    for number, body in enumerate(objects, 1):
        offsets.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    out += b"trailer\n<< /Size %d /Root %d 0 R %s >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, root, trailer, start)
    return bytes(out)


def stream(data: bytes, entries: bytes = b"") -> bytes:
    """A stream object's body."""
    return b"<< /Length %d %s >>\nstream\n%s\nendstream" % (len(data), entries, data)


def writing(lines: Sequence[str], size: float = 10.0) -> bytes:
    """Drawing instructions for lines of text from the top left."""
    shown = (line.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)").encode("latin-1", "replace") for line in lines)
    return b"BT /F1 %g Tf %g TL 40 740 Td\n" % (size, size * 1.3) + b"".join(b"(%s) Tj T*\n" % line for line in shown) + b"ET\n"


FONT = b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>"


def sheet(content: bytes = b"", page: bytes = b"", entries: bytes = b"", more: Sequence[bytes] = ()) -> bytes:
    """One page of these instructions: objects 1 catalogue, 2 page tree, 3 page, 4 content, 5 font, then `more` from 6."""
    content = content or writing(NOTES)
    box = b"" if b"/MediaBox" in page else b"/MediaBox [0 0 1224 792]"
    font = b"" if b"/Resources" in page else b"/Resources << /Font << /F1 5 0 R >> >>"
    body = b"<< /Type /Page /Parent 2 0 R %s %s /Contents 4 0 R %s >>" % (box, font, page)
    tree = b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>"
    return raw([b"<< /Type /Catalog /Pages 2 0 R >>", tree, body, stream(content, entries), FONT, *more])


def flate(data: bytes) -> bytes:
    """Packed."""
    return zlib.compress(data, 9)


def zeros(megabytes: int, lead: bytes = b"") -> bytes:
    """Packed blanks, a thousand times smaller than they are."""
    machine = zlib.compressobj(6)
    out = machine.compress(lead)
    for _ in range(megabytes):
        out += machine.compress(b" " * 1_000_000)
    return out + machine.flush()


def saved(pdf: Pdf, **options: object) -> bytes:
    """The document's bytes."""
    target = io.BytesIO()
    pdf.save(target, **options)  # type: ignore[arg-type]
    return target.getvalue()


def document(pages: int = 1) -> Pdf:
    """A sound document of that many sheets."""
    pdf = Pdf.new()
    font = pdf.make_indirect(Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica))
    content = pdf.make_stream(writing(NOTES))
    for _ in range(pages):
        page = Dictionary(Type=Name.Page, MediaBox=[0, 0, 1224, 792], Contents=content, Resources=Dictionary(Font=Dictionary(F1=font)))
        pdf.pages.append(pikepdf.Page(page))
    return pdf


# ---------------------------------------------------------------- no PDF, or only the start of one


@hostile
def empty() -> bytes:
    return b""


@hostile
def header_alone() -> bytes:
    return b"%PDF-1.7\n"


@hostile
def web_page() -> bytes:
    return b"<!doctype html><html><body>You are not logged in</body></html>"


@hostile
def random_bytes() -> bytes:
    return random.Random(1).randbytes(20_000)


@hostile
def random_bytes_behind_a_header() -> bytes:
    return b"%PDF-1.4\n" + random.Random(2).randbytes(20_000) + b"\n%%EOF"


@hostile
def nothing_but_zeros() -> bytes:
    return b"%PDF-1.4\n" + bytes(200_000)


@hostile
def cut_after_a_quarter() -> bytes:
    whole = saved(document(3))
    return whole[: len(whole) // 4]


@hostile
def cut_in_the_middle() -> bytes:
    whole = sheet()
    return whole[: len(whole) // 2]


@hostile
def cut_before_the_end() -> bytes:
    return sheet()[:-40]


# ---------------------------------------------------------------- wrong structure


@hostile
def cross_reference_shifted() -> bytes:
    return sheet().replace(b"xref\n0 6", b"xref\n3 6", 1)


@hostile
def cross_reference_elsewhere() -> bytes:
    whole = sheet()
    at = whole.rindex(b"startxref")
    return whole[:at] + b"startxref\n99999999999999\n%%EOF\n"


@hostile
def cross_reference_negative() -> bytes:
    whole = sheet()
    at = whole.rindex(b"startxref")
    return whole[:at] + b"startxref\n-1\n%%EOF\n"


@hostile
def cross_reference_that_comes_before_itself() -> bytes:
    whole = sheet()
    start = int(whole[whole.rindex(b"startxref") + 10 :].split()[0])
    return whole.replace(b"/Size 6", b"/Size 6 /Prev %d" % start)


@hostile
def all_objects_in_one_place() -> bytes:
    whole = sheet()
    head, tail = whole[: whole.index(b"xref\n")], whole[whole.index(b"trailer") :]
    return head + b"xref\n0 6\n" + b"0000000015 00000 n \n" * 6 + tail


@hostile
def root_missing() -> bytes:
    return sheet().replace(b"/Root 1 0 R", b"/Root 77 0 R")


@hostile
def root_is_a_page() -> bytes:
    return sheet().replace(b"/Root 1 0 R", b"/Root 3 0 R")


@hostile
def page_tree_holds_itself() -> bytes:
    return raw([b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [2 0 R 2 0 R] /Count 2 >>"])


@hostile
def page_tree_in_a_ring() -> bytes:
    ring = [b"<< /Type /Pages /Kids [%d 0 R] /Count 9 /Parent %d 0 R >>" % (3 if n == 4 else n + 1, n - 1) for n in (2, 3, 4)]
    return raw([b"<< /Type /Catalog /Pages 2 0 R >>", *ring])


@hostile
def page_tree_ten_thousand_deep() -> bytes:
    deep = [b"<< /Type /Pages /Kids [%d 0 R] /Count 1 >>" % (n + 1) for n in range(2, 10_002)]
    return raw([b"<< /Type /Catalog /Pages 2 0 R >>", *deep, b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] >>"])


@hostile
def page_is_its_own_parent() -> bytes:
    return sheet(page=b"/MediaBox [0 0 612 792]").replace(b"/Parent 2 0 R", b"/Parent 3 0 R")


@hostile
def page_is_no_dictionary() -> bytes:
    return raw([b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [3 0 R 4 0 R] /Count 2 >>", b"(a page)", b"42"])


@hostile
def content_is_no_stream() -> bytes:
    return sheet().replace(b"/Contents 4 0 R", b"/Contents (words)")


@hostile
def content_holds_itself() -> bytes:
    return sheet(more=[b"[6 0 R 6 0 R 4 0 R]"]).replace(b"/Contents 4 0 R", b"/Contents 6 0 R")


@hostile
def length_is_its_own_stream() -> bytes:
    return sheet().replace(b"/Length %d" % len(writing(NOTES)), b"/Length 4 0 R")


@hostile
def length_is_far_too_large() -> bytes:
    return sheet().replace(b"/Length %d" % len(writing(NOTES)), b"/Length 2147483647")


@hostile
def arrays_a_hundred_thousand_deep() -> bytes:
    return sheet(page=b"/Odd " + b"[" * 100_000 + b"]" * 100_000)


@hostile
def dictionaries_never_closed() -> bytes:
    return sheet(page=b"/Odd " + b"<< /A " * 50_000)


@hostile
def object_stream_that_holds_itself() -> bytes:
    packed = stream(b"6 0 << /Type /ObjStm >>", b"/Type /ObjStm /N 1 /First 4 /Extends 6 0 R")
    return sheet(more=[packed])


# ---------------------------------------------------------------- how many pages


@hostile
def no_pages() -> bytes:
    return raw([b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [] /Count 0 >>"])


@hostile
def count_promises_two_billion_pages() -> bytes:
    return sheet().replace(b"/Count 1", b"/Count 2147483647")


@hostile
def count_is_negative() -> bytes:
    return sheet().replace(b"/Count 1", b"/Count -5")


@hostile
def five_thousand_pages() -> bytes:
    kids = b" ".join([b"3 0 R"] * 5_000)
    return sheet(b"0 0 m 9 9 l S").replace(b"/Kids [3 0 R] /Count 1", b"/Kids [%s] /Count 5000" % kids)


@hostile
def one_sound_sheet_among_broken_ones() -> bytes:
    pdf = document(3)
    pdf.pages[0].obj.Contents = Stream(pdf, b"BT (")
    pdf.pages[2].obj.MediaBox = Array([0, 0, 0, 0])
    return saved(pdf)


# ---------------------------------------------------------------- the sheet itself


@hostile
def box_of_a_billion_points() -> bytes:
    return sheet(page=b"/MediaBox [0 0 1000000000 1000000000]")


@hostile
def box_without_size() -> bytes:
    return sheet(page=b"/MediaBox [10 10 10 10]")


@hostile
def box_of_words() -> bytes:
    return sheet(page=b"/MediaBox [(a) /b null true]")


@hostile
def box_inside_out() -> bytes:
    return sheet(page=b"/MediaBox [1224 792 0 0]")


@hostile
def box_beyond_numbers() -> bytes:
    return sheet(page=b"/MediaBox [0 0 %s %s]" % (b"9" * 400, b"9" * 400))


@hostile
def crop_beside_the_sheet() -> bytes:
    return sheet(page=b"/CropBox [5000 5000 6000 6000]")


@hostile
def turned_by_an_odd_angle() -> bytes:
    return sheet(page=b"/Rotate 37")


@hostile
def turned_a_billion_times() -> bytes:
    return sheet(page=b"/Rotate 90000000000000")


@hostile
def unit_of_a_mile() -> bytes:
    return sheet(page=b"/UserUnit 4561920")


# ---------------------------------------------------------------- streams


@hostile
def bomb_of_blanks() -> bytes:
    return sheet(zeros(150, writing(NOTES)), entries=b"/Filter /FlateDecode")


@hostile
def bomb_packed_twice() -> bytes:
    return sheet(flate(zeros(300)), entries=b"/Filter [/FlateDecode /FlateDecode]")


@hostile
def bomb_of_hexadecimal() -> bytes:
    return sheet(flate(b"20" * 10_000_000), entries=b"/Filter [/FlateDecode /ASCIIHexDecode]")


@hostile
def fifty_filters() -> bytes:
    return sheet(b"x", entries=b"/Filter [" + b"/FlateDecode " * 50 + b"]")


@hostile
def filter_unknown() -> bytes:
    return sheet(entries=b"/Filter /NoSuchDecode")


@hostile
def packed_stream_damaged() -> bytes:
    data = bytearray(flate(writing(NOTES * 40)))
    data[len(data) // 2 : len(data) // 2 + 8] = b"\xff" * 8
    return sheet(bytes(data), entries=b"/Filter /FlateDecode")


@hostile
def packed_stream_cut() -> bytes:
    return sheet(flate(writing(NOTES * 40))[:-30], entries=b"/Filter /FlateDecode")


@hostile
def a_million_saves() -> bytes:
    return sheet(b"q " * 1_000_000 + writing(NOTES))


@hostile
def two_million_numbers() -> bytes:
    return sheet(b"1 " * 2_000_000 + writing(NOTES))


@hostile
def string_never_closed() -> bytes:
    return sheet(b"BT /F1 10 Tf 40 700 Td (" + b"(" * 200_000 + b"HOLD-DOWNS")


@hostile
def half_a_million_lines() -> bytes:
    lines = b"".join(b"%d %d m %d %d l S\n" % (n % 1200, n % 790, (n * 7) % 1200, (n * 13) % 790) for n in range(500_000))
    return sheet(flate(lines + writing(NOTES)), entries=b"/Filter /FlateDecode")


@hostile
def matrices_that_blow_up() -> bytes:
    return sheet(b"1e30 0 0 1e30 0 0 cm " * 40 + b"0 0 m 1 1 l S " + writing(NOTES))


@hostile
def inline_picture_without_end() -> bytes:
    return sheet(writing(NOTES) + b"BI /W 60000 /H 60000 /BPC 8 /CS /RGB ID " + b"x" * 1000)


# ---------------------------------------------------------------- forms and pictures


def _form(content: bytes, calls: dict[bytes, int]) -> bytes:
    forms = b" ".join(b"/%s %d 0 R" % (name, number) for name, number in calls.items())
    return stream(content, b"/Type /XObject /Subtype /Form /BBox [0 0 1224 792] /Resources << /XObject << %s >> >>" % forms)


def _calling(number: int, *, more: Sequence[bytes]) -> bytes:
    resources = b"/Resources << /Font << /F1 5 0 R >> /XObject << /X %d 0 R >> >>" % number
    return sheet(writing(NOTES) + b"/X Do", page=resources, more=more)


@hostile
def form_that_draws_itself() -> bytes:
    return _calling(6, more=[_form(b"/X Do /X Do", {b"X": 6})])


@hostile
def forms_that_draw_each_other() -> bytes:
    return _calling(6, more=[_form(b"/X Do", {b"X": 7}), _form(b"/X Do", {b"X": 6})])


@hostile
def forms_that_multiply() -> bytes:
    levels = [_form(b"/X Do " * 10, {b"X": number + 1}) for number in range(6, 16)]
    return _calling(6, more=[*levels, stream(b"0 0 m 9 9 l S", b"/Type /XObject /Subtype /Form /BBox [0 0 9 9]")])


@hostile
def picture_larger_than_memory() -> bytes:
    picture = stream(
        zeros(30), b"/Subtype /Image /Width 100000 /Height 100000 /ColorSpace /DeviceRGB /BitsPerComponent 8 /Filter /FlateDecode"
    )
    return sheet(b"q 1224 0 0 792 0 0 cm /X Do Q", page=b"/Resources << /XObject << /X 6 0 R >> >>", more=[picture])


@hostile
def picture_without_data() -> bytes:
    picture = stream(b"", b"/Subtype /Image /Width 9000 /Height 9000 /ColorSpace /DeviceGray /BitsPerComponent 1 /Filter /CCITTFaxDecode")
    return sheet(b"q 1224 0 0 792 0 0 cm /X Do Q", page=b"/Resources << /XObject << /X 6 0 R >> >>", more=[picture])


@hostile
def picture_that_is_its_own_mask() -> bytes:
    entries = b"/Subtype /Image /Width 8 /Height 8 /ColorSpace /DeviceGray /BitsPerComponent 8 /SMask 6 0 R"
    return sheet(
        writing(NOTES) + b"q 99 0 0 99 0 0 cm /X Do Q",
        page=b"/Resources << /Font << /F1 5 0 R >> /XObject << /X 6 0 R >> >>",
        more=[stream(b"x" * 64, entries)],
    )


# ---------------------------------------------------------------- fonts


def _with_font(font: bytes, *more: bytes, content: bytes = b"") -> bytes:
    return sheet(content or writing(NOTES), page=b"/Resources << /Font << /F1 6 0 R >> >>", more=[font, *more])


@hostile
def font_missing() -> bytes:
    return sheet(page=b"/Resources << >>")


@hostile
def font_is_a_number() -> bytes:
    return _with_font(b"42")


@hostile
def font_file_of_rubbish() -> bytes:
    font = b"<< /Type /Font /Subtype /TrueType /BaseFont /Odd /FontDescriptor 7 0 R >>"
    return _with_font(font, b"<< /Type /FontDescriptor /FontName /Odd /FontFile2 8 0 R >>", stream(random.Random(3).randbytes(5000)))


@hostile
def font_whose_letters_draw_themselves() -> bytes:
    font = (
        b"<< /Type /Font /Subtype /Type3 /FontBBox [0 0 9 9] /FontMatrix [1 0 0 1 0 0] /CharProcs << /a 7 0 R >> "
        b"/Encoding << /Differences [65 /a] >> /FirstChar 65 /LastChar 65 /Widths [9] /Resources << /Font << /F1 6 0 R >> >> >>"
    )
    return _with_font(font, stream(b"9 0 0 0 9 9 d1 BT /F1 1 Tf (A) Tj ET"), content=b"BT /F1 10 Tf 40 700 Td (AAAA) Tj ET")


@hostile
def font_that_is_its_own_descendant() -> bytes:
    return _with_font(b"<< /Type /Font /Subtype /Type0 /BaseFont /Odd /Encoding /Identity-H /DescendantFonts [6 0 R] >>")


@hostile
def letters_that_mean_a_book_each() -> bytes:
    long = b"0048" * 5_000
    unicode_map = b"1 begincodespacerange <00> <ff> endcodespacerange 1 beginbfrange <20> <7e> <%s> endbfrange" % long
    font = b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /ToUnicode 7 0 R >>"
    return _with_font(font, stream(unicode_map))


@hostile
def letters_without_meaning() -> bytes:
    font = b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /ToUnicode 7 0 R >>"
    return _with_font(font, stream(b"1 begincodespacerange <00> <ff> endcodespacerange 1 beginbfrange <00> <ff> <FFFE> endbfrange"))


@hostile
def type_of_no_size() -> bytes:
    return sheet(writing(NOTES, 0.0))


@hostile
def type_of_a_mile() -> bytes:
    return sheet(writing(NOTES, 1e9))


@hostile
def type_below_zero() -> bytes:
    return sheet(writing(NOTES, -10.0))


# ---------------------------------------------------------------- locks, notes, extras


@hostile
def locked_with_a_password() -> bytes:
    return saved(document(), encryption=pikepdf.Encryption(user="key", owner="key"))


@hostile
def locked_against_change_only() -> bytes:
    return saved(document(), encryption=pikepdf.Encryption(user="", owner="key", allow=pikepdf.Permissions(extract=False)))


@hostile
def locked_by_an_unknown_lock() -> bytes:
    return sheet(more=[b"<< /Filter /OddLock /V 9 /R 9 >>"]).replace(b"/Root 1 0 R", b"/Root 1 0 R /Encrypt 6 0 R /ID [(a) (b)]")


def _noted(notes: bytes, *more: bytes) -> bytes:
    return sheet(page=b"/Annots %s" % notes, more=more)


@hostile
def note_that_is_its_own_parent() -> bytes:
    note = b"<< /Type /Annot /Subtype /FreeText /Rect [0 0 99 99] /Contents (HD-3) /Popup 6 0 R /Parent 6 0 R /AP << /N 6 0 R >> >>"
    return _noted(b"[6 0 R 6 0 R]", note)


@hostile
def fifty_thousand_notes() -> bytes:
    return _noted(b"[%s]" % (b"6 0 R " * 50_000), b"<< /Type /Annot /Subtype /FreeText /Rect [0 0 99 99] /Contents (HD-3) >>")


@hostile
def notes_of_the_wrong_kind() -> bytes:
    return _noted(b"[null 1 (a) [] << >> << /Subtype /FreeText /Rect [(a)] /Contents 5 /CL [/x] /DA 3 >> 6 0 R]", b"[6 0 R]")


@hostile
def outline_in_a_ring() -> bytes:
    ring = b"<< /Title (a) /First 6 0 R /Last 6 0 R /Next 6 0 R /Prev 6 0 R /Parent 6 0 R /Count 9 >>"
    return sheet(more=[ring]).replace(b"/Type /Catalog", b"/Type /Catalog /Outlines 6 0 R")


@hostile
def form_fields_in_a_ring() -> bytes:
    field = b"<< /T (a) /FT /Tx /Kids [6 0 R] /Parent 6 0 R >>"
    return sheet(more=[field]).replace(b"/Type /Catalog", b"/Type /Catalog /AcroForm << /Fields [6 0 R] /XFA 6 0 R >>")


@hostile
def file_that_wants_to_run_programs() -> bytes:
    action = b"<< /S /JavaScript /JS (app.launchURL\\('file:///etc'\\)) /Next << /S /Launch /F (calc.exe) >> >>"
    return sheet(more=[action]).replace(b"/Type /Catalog", b"/Type /Catalog /OpenAction 6 0 R /AA << /WC 6 0 R >>")


@hostile
def file_that_asks_for_other_files() -> bytes:
    return sheet(entries=b"/F (../../../../etc/passwd) /FFilter /FlateDecode")
