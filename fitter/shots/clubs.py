"""Which words name a driver, and which another club."""

from __future__ import annotations

import re

from fitter.shots.headers import plain

_DRIVER = re.compile(r"^(driver|drv|dr|d|1 ?w|1 ?wood|wood ?1|w1|big stick|driver \w{1,8}|\w{1,8} driver)$")
_OTHER = re.compile(
    r"^(\d{1,2} ?(i|iron|irons|w|wood|h|hy|hyb|hybrid|u|ut)|(i|iron|w|wood|h|hybrid) ?\d{1,2}"
    r"|[pgaslu] ?w|([\w ]+ )?(wedge|putter|iron|hybrid|wood|chipper)|putt|pt|\d{2} ?(deg|degree)"
    r"|eisen ?\d|\d ?eisen|holz ?\d|\d ?holz)$"
)


def is_driver(words: str) -> bool:
    """Whether words name a driver."""
    return bool(_DRIVER.match(plain(words)))


def is_other(words: str) -> bool:
    """Whether words name a club that is no driver."""
    return not is_driver(words) and bool(_OTHER.match(plain(words)))


def is_club(words: str) -> bool:
    """Whether words name some club."""
    return is_driver(words) or is_other(words)
