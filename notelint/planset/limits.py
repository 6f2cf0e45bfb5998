"""Bounds on what one plan set may cost. Over a bound, the sheet is listed as unread with the reason and the others are read."""

from __future__ import annotations

MAX_PAGES = 2_000
"""Sheets read of one file; the rest is listed as unread in one line."""
MAX_FILE_BYTES = 2_000_000_000
MAX_SIDE_PT = 14_400.0
"""Longest side of a sheet in points: 200 in, the largest a PDF page is meant to have."""
MIN_SIDE_PT = 36.0
MAX_CHARS = 200_000
"""Characters read from one sheet; a full specification sheet in small type has some 40,000."""
MAX_WORD_CHARS = 400
"""Characters of one word; a whole line set without spaces has some 150."""
MAX_STREAM_BYTES = 60_000_000
"""Decoded drawing instructions looked at for lines on one sheet (about 500,000 separate segments take 20 MB)."""
MAX_SEGMENTS = 60_000
"""Line segments kept for one sheet; the longest are kept, since table rules and leaders are long."""
MAX_ANNOTATIONS = 2_000
"""Annotations read on one sheet."""
MAX_RENDER_PIXELS = 60_000_000
"""Pixels of one picture: an ARCH E sheet (48 x 36 in) at 180 dpi."""
MAX_STATE_CHANGES = 400_000
"""Saves, restores and matrices in one stream; more are followed by no reader in fair time, so its lines are left out."""
MAX_FORM_CALLS = 20_000
"""Form objects followed for lines on one sheet; the words in them are read without this bound."""
MIN_SEGMENT_PT = 3.0
"""Shorter strokes are hatching, dashes or parts of letters."""
MAX_ANNOTATION_CHARS = 4_000
"""Characters taken of one annotation."""
READ_DPI = 200
"""Sheets without text are read at this resolution."""
FIND_DPI = 90
MAX_FIND_PIXELS = 6_500_000
"""Pixels on which lines of writing are looked for: the finder needs some 300 bytes a pixel."""
MAX_READ_PIXELS = 45_000_000
"""Pixels of a sheet's picture at READ_DPI: an ARCH E1 sheet (42 x 30 in) has 50 million and is read a little coarser."""
MAX_LINES = 4_000
"""Lines of writing looked at on one picture."""
MAX_IMAGE_PIXELS = 400_000_000
"""Pixels of one embedded picture that is to be unpacked: an ARCH E sheet (48 x 36 in) at 400 dpi has 276 million."""
MAX_READ_SHEETS = 300
"""Sheets of one file read from their picture, at some 5 s each."""
FORK_FROM_BYTES = 1_000_000
"""Size of a file from which a second process helps to read it: below, its start costs more than it gains."""
FORK_FROM_SHEETS = 8
"""Sheets from which title blocks are read in two processes."""
