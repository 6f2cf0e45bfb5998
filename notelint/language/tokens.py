"""Trade tokens: `1-1/2"`, `10d`, `O.C.`, `2x6`, `HD-3`, `(8) 16d` are cut as the trade reads them."""

from __future__ import annotations

import re

from spacy.tokens import Doc
from spacy.vocab import Vocab

from notelint.language.words import look_up_form, pieces

_TOKEN = re.compile(
    r"""
      \s+
    | \d+(?:-\d+)?[xX\u00d7]\d+(?:[xX\u00d7]\d+)*(?![\w/.]) # lumber: 2x6, 3-2x12
    | \d+[dD](?![\w])                                              # penny: 10d
    | \d[\d,]*(?:\.\d+)?(?:/\d+)? | \.\d+                          # figures
    | (?:[A-Za-z]\.){2,} | [A-Za-z](?:\.[A-Za-z])+(?![A-Za-z])      # O.C.  A.B
    | [A-Za-z]{1,5}-?\d+[A-Za-z0-9]*(?:[-.]\d+[A-Za-z]?)*          # marks: HD-3, SW2
    | [^\W\d_]+(?:['\u2019][^\W\d_]+)?                             # words
    | _{2,}
    | .
    """,
    re.VERBOSE | re.DOTALL,
)


def cut(text: str) -> list[str]:
    """`text` cut into tokens; joined together they are `text` again."""
    found: list[str] = []
    for match in _TOKEN.finditer(text):
        token = match.group()
        found += pieces(token) if token.isalpha() and len(token) >= 7 else (token,)
    return found


class TradeTokenizer:
    """A spaCy tokenizer over `cut`; each token's NORM is its look-up form.

    `scanned` is set while words of a scan are read, so that figures read for letters are mended too.
    """

    def __init__(self, vocab: Vocab) -> None:
        self.vocab = vocab
        self.scanned = False

    def __call__(self, text: str) -> Doc:
        words: list[str] = []
        spaces: list[bool] = []
        for token in cut(text):
            if token[0] == " " and words and not spaces[-1] and not words[-1].isspace():
                spaces[-1] = True
                token = token[1:]
            if token:
                words.append(token)
                spaces.append(False)
        doc = Doc(self.vocab, words=words, spaces=spaces)
        for token in doc:
            token.norm_ = look_up_form(token.text, self.scanned)
        return doc
