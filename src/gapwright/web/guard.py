"""Who may ask: this machine's own page and scripts, never another page that happens to know the address.

Checked on every call and every socket, before anything else sees it: the Host
(a name that was rebound to this address is not ours), the Origin (another page
is not ours), the token where the bench can be reached from other machines, and
the size of what is sent.
"""

import hmac
from collections.abc import Mapping
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from ipaddress import ip_address
from urllib.parse import parse_qs

from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_CALL = 400_000
LARGEST_DROP = 8_000_000
LARGEST_CAPTURE = 8_000_000_000
LARGEST = {"/api/drop": LARGEST_DROP, "/api/captures": LARGEST_CAPTURE}
"""Bytes that may be sent to the calls that take files; they are written to disk as they come."""
SCHEME = "http://"
FOREIGN = 4403
"""Code with which a socket is closed that is not ours."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""What the page may load: only what this server gives, and no script or style inside the text of a page."""

SAFE = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """Where the bench can be reached, and the token that calls from other machines must carry."""

    address: str
    port: int
    token: str = ""

    @property
    def cookie(self) -> str:
        """Name of the cookie that keeps the token; cookies are shared by all ports of a host."""
        return f"gapwright-{self.port}"


def is_loopback(address: str) -> bool:
    """Whether an address is only reached from this machine."""
    try:
        return address == "localhost" or ip_address(address).is_loopback
    except ValueError:
        return False


def host_and_port(host: str) -> tuple[str, int] | None:
    """Name and port of a Host header; port 80 where it says none; None if it is no such thing."""
    name, colon, port = host.rpartition(":")
    if not colon or host.endswith("]"):
        name, port = host, "80"
    if not (port.isascii() and port.isdigit() and len(port) <= 5):
        return None
    return name.removeprefix("[").removesuffix("]").lower(), int(port)


def is_our_host(host: str, door: Door) -> bool:
    """Whether a Host header names this bench.

    A wildcard address stands for every number of this machine, but for no name:
    only a name can be rebound.
    """
    parts = host_and_port(host)
    if parts is None or parts[1] != door.port:
        return False
    name = parts[0]
    if is_loopback(name) or name == door.address:
        return True
    try:
        return ip_address(door.address).is_unspecified and bool(ip_address(name))
    except ValueError:
        return False


def refusal_of(scope: Scope, headers: Mapping[str, str], door: Door) -> str:
    """Why a call is refused; empty where it is not."""
    host, origin = headers.get("host", ""), headers.get("origin")
    if not is_our_host(host, door):
        return "the Host of this call is not this bench"
    if origin is not None and origin.lower() != SCHEME + host.lower():
        return "the Origin of this call is another page"
    other_site = headers.get("sec-fetch-site", "none") not in ("none", "same-origin")
    if other_site and scope["path"] != "/":
        return "this call comes from another page"
    return ""


class Guard:
    """Lets in what is ours, and sends every answer out with the headers that keep the page safe."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self.app, self.door = app, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check a call or a socket, then pass it on."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers = {
            name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]
        }
        refused = refusal_of(scope, headers, self.door)
        answer = _refusal(403, refused) if refused else self._token_answer(scope, headers)
        if answer is None and scope["type"] == "http":
            answer = _too_large(scope, headers)
        if answer is None:
            await self.app(scope, _capped(scope, receive), _safe(scope, send))
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": FOREIGN, "reason": "not this bench"})
        else:
            await answer(scope, receive, _safe(scope, send))

    def _token_answer(self, scope: Scope, headers: Mapping[str, str]) -> Response | None:
        """What a call without the token gets, None where it carries it or none is asked."""
        if not self.door.token:
            return None
        given = headers.get("authorization", "").removeprefix("Bearer ")
        if self._is_token(given) or self._is_token(_cookie(headers, self.door.cookie)):
            return None
        asked = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("token", [""])[0]
        if scope["path"] == "/" and self._is_token(asked):
            answer = RedirectResponse("/", status_code=303)
            answer.set_cookie(self.door.cookie, self.door.token, httponly=True, samesite="strict")
            return answer
        return _refusal(401, "this bench asks for its token: open /?token=... as the command line printed it")

    def _is_token(self, given: str) -> bool:
        return hmac.compare_digest(given.encode("utf-8", "replace"), self.door.token.encode())


def _cookie(headers: Mapping[str, str], name: str) -> str:
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(name)
    except CookieError:
        return ""
    return found.value if found else ""


def _refusal(status: int, says: str) -> Response:
    return JSONResponse({"refused": says, "path": None}, status_code=status)


def _limit(scope: Scope) -> int:
    return LARGEST.get(scope["path"], LARGEST_CALL)


def too_large_text(limit: int) -> str:
    """What is said of a body above its limit."""
    return f"what is sent must be at most {limit} bytes, got more"


def _too_large(scope: Scope, headers: Mapping[str, str]) -> Response | None:
    said = headers.get("content-length", "0")
    if not said.isdecimal() or len(said) > 15 or int(said) > _limit(scope):
        return _refusal(413, too_large_text(_limit(scope)))
    return None


def _capped(scope: Scope, receive: Receive) -> Receive:
    """A body that ends with a refusal where it grows above its limit, whatever length it claimed."""
    limit, seen = _limit(scope), 0

    async def received() -> Message:
        nonlocal seen
        message = await receive()
        if message["type"] == "http.request":
            seen += len(message.get("body", b""))
            if seen > limit:
                raise HTTPException(413, too_large_text(limit))
        return message

    return received


def _safe(scope: Scope, send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in SAFE.items():
                headers.setdefault(name, value)
            if not scope["path"].startswith("/assets/"):
                headers.setdefault("cache-control", "no-store")
        await send(message)

    return sent
