"""Starts the bench: checks where it may be reached, serves it, and opens the page."""

import contextlib
import secrets
import socket
import webbrowser
from collections.abc import Callable
from threading import Timer

import uvicorn

from gapwright.app.ports import Doorway
from gapwright.base.errors import InputRefused
from gapwright.web.guard import LARGEST_CALL, SCHEME, Door, is_loopback
from gapwright.web.server import guarded
from gapwright.wiring import bench_desk

LEAST_TOKEN = 12
_ELSEWHERE = "   (from another machine: this machine's own number in place of {})"
OTHERS = {"0.0.0.0": _ELSEWHERE.format("127.0.0.1"), "::": _ELSEWHERE.format("::1")}
"""What is said beside the address where every number of this machine is listened on."""


def door_of(where: Doorway, *, port: int) -> Door:
    """Door of a doorway; one that other machines can reach needs a token.

    Raises
    ------
    InputRefused
        If the token is too short to keep anybody out.
    """
    if is_loopback(where.address) and not where.token:
        return Door(address=where.address, port=port)
    if not where.token:
        raise InputRefused(
            f"--address {where.address} can be reached from other machines, so --token must be given; "
            f"here is a fresh one: {secrets.token_urlsafe(16)}"
        )
    fits = where.token.isascii() and where.token.replace("-", "").replace("_", "").isalnum()
    if len(where.token) < LEAST_TOKEN or not fits:
        raise InputRefused(
            f"--token must be at least {LEAST_TOKEN} letters, digits, - and _, got {len(where.token)}; "
            f"here is a fresh one: {secrets.token_urlsafe(16)}"
        )
    return Door(address=where.address, port=port, token=where.token)


def listening(where: Doorway) -> socket.socket:
    """A socket that listens where it is asked to.

    Raises
    ------
    InputRefused
        If nothing can listen there.
    """
    family = socket.AF_INET6 if ":" in where.address else socket.AF_INET
    found = socket.socket(family, socket.SOCK_STREAM)
    try:
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((where.address, where.port))
        found.listen(64)
    except (OSError, OverflowError, UnicodeError) as error:
        found.close()
        said = getattr(error, "strerror", None) or str(error)
        raise InputRefused(
            f"--address {where.address} --port {where.port} cannot be listened on: {said.lower()}; "
            "give another --port, or 0 for a free one"
        ) from None
    return found


def address_of(door: Door) -> str:
    """Address of the page for a browser on this machine; a wildcard is reached over the loopback."""
    host = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(door.address, door.address)
    host = f"[{host}]" if ":" in host else host
    return f"{SCHEME}{host}:{door.port}/" + (f"?token={door.token}" if door.token else "")


def serve(folder: str | None, where: Doorway, *, say: Callable[[str], None]) -> None:
    """Serve the bench over a folder until it is interrupted.

    Raises
    ------
    InputRefused
        If there is no such folder, or nothing can be served at this address.
    """
    door_of(where, port=where.port)
    desk = bench_desk(folder)
    listener = listening(where)
    port = int(listener.getsockname()[1])
    door = door_of(where, port=port)
    address = address_of(door)
    say(address + OTHERS.get(where.address, ""))
    if where.browser:
        timer = Timer(0.5, lambda: webbrowser.open(address))
        timer.daemon = True
        timer.start()
    config = uvicorn.Config(
        guarded(desk, door),
        log_level="warning",
        access_log=False,
        server_header=False,
        date_header=False,
        ws="websockets-sansio",
        ws_max_size=LARGEST_CALL,
        proxy_headers=False,
        timeout_graceful_shutdown=2,
        limit_concurrency=200,
    )
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listener])
