import gzip
import io
import zipfile

import numpy as np
import pytest

from gapwright.shell.captures.telling import samples_form
from tests.captured_files import text_capture


def archive() -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as made:
        made.writestr("run.csv", b"1,2\n")
    return stream.getvalue()


def array() -> bytes:
    stream = io.BytesIO()
    np.save(stream, np.zeros(3, dtype=np.float32))
    return stream.getvalue()


HEADED = "Model;Made up\nDate;28.11.\nZeit;Kanal \xb5\n" + "".join(f"{k},5;1,25e-3;\n" for k in range(40))


@pytest.mark.parametrize(
    ("head", "form"),
    [
        (text_capture(20)[: 1 << 16], "columns of numbers"),
        (HEADED.encode("latin-1"), "columns of numbers"),
        (b"\xef\xbb\xbf0\t1\r\n1\t2\r\n2\t3\r\n", "columns of numbers"),
        (b"1.5\n2.5\n3.5\n", "columns of numbers"),
        (array(), "an array of samples"),
        (archive(), "an archive"),
        (gzip.compress(b"1,2\n"), "an archive"),
        (b"RIFF....WAVEfmt ", "a sound file of samples"),
        (b"PAR1....", "a table of samples"),
        (b"\x89HDF\r\n\x1a\n", "a hierarchy of samples"),
    ],
    ids=lambda told: told if isinstance(told, str) else "head",  # an archive's bytes have the time in them
)
def test_samples_are_told_by_their_bytes(head: bytes, form: str) -> None:
    assert samples_form(head) == form


@pytest.mark.parametrize(
    "head", [b"", b"\n\n", b"hello\nworld\nagain\n", b"\0\1\2", b"<html>1,2</html>", b"a=1\nb=2\nc=3\n"]
)
def test_anything_else_is_none(head: bytes) -> None:
    assert samples_form(head) is None


def test_a_huge_line_is_looked_at_once() -> None:
    assert samples_form(b"1," * 30_000 + b"\n" + b"1," * 100) is None
