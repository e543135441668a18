"""TOML from outside: what breaks a reader is refused with one reason."""

from __future__ import annotations

import pytest

from paryield.errors import InputError
from paryield.model.expectations import read_expectations
from paryield.tables import SHIPPED
from paryield.tables.settings import read_settings
from paryield.tables.toml import read_toml

BROKEN = [
    (b"a = " + b"[" * 5000, "nested too deeply"),
    (b"a." * 3000 + b"a = 1", "nested too deeply"),
    (b"a = " + b"9" * 5000, "more than 64 bits"),
    (b"a = 0x" + b"f" * 5000, "more than 64 bits"),
    (b"a = 9223372036854775808", "more than 64 bits"),
    (b"a = [[0, {b = -9223372036854775809}]]", "more than 64 bits"),
    (b"a = \xff", "not UTF-8"),
    (b"a = ", "cannot be read as TOML"),
]


@pytest.mark.parametrize(("content", "said"), BROKEN)
def test_what_breaks_a_reader_is_one_reason(content: bytes, said: str, tmp_path) -> None:
    with pytest.raises(ValueError, match=said) as caught:
        read_toml(content)
    assert "\n" not in str(caught.value)
    path = tmp_path / "settings.toml"
    path.write_bytes(content)
    [problem] = read_settings(path)[2]
    assert said in problem.line()
    with pytest.raises(InputError, match=said):
        read_expectations(path, SHIPPED)


def test_what_is_sound_is_read() -> None:
    whole = b"\xef\xbb\xbfa = 9223372036854775807\n[[b]]\nc = {d = [-9223372036854775808, 1e400]}\n"
    assert read_toml(whole) == {"a": 2**63 - 1, "b": [{"c": {"d": [-(2**63), float("inf")]}}]}
