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
MAX_FORM_CALLS = 5_000
"""Form objects followed for lines on one sheet; the words in them are read without this bound."""
MIN_SEGMENT_PT = 3.0
"""Shorter strokes are hatching, dashes or parts of letters."""
MAX_ANNOTATION_CHARS = 4_000
"""Characters taken of one annotation."""
