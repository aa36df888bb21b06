"""Which encoding a text file is in, told from how it begins."""

import codecs

HEAD = 65_536
"""So much of a file's beginning tells [bytes]."""


def told(head: bytes) -> str:
    """The name of a codec.

    UTF-8 and UTF-16 with or without a mark before them; what is neither is taken for the
    Western code page of Windows, whose degree sign and letters loggers write.
    """
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    # Titles begin with a letter of ASCII, which has one empty byte in UTF-16.
    for pattern, name in (((1, 0, 1, 0), "utf-16-le"), ((0, 1, 0, 1), "utf-16-be")):
        if len(head) >= 4 and all(bool(head[n]) == bool(pattern[n]) for n in range(4)):
            return name
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"
