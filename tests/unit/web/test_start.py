import socket

import pytest

from gapwright.app.ports import Doorway
from gapwright.base.errors import InputRefused
from gapwright.cli.main import run
from gapwright.web.guard import SCHEME, Door
from gapwright.web.start import address_of, door_of, listening, serve

TOKEN = "a-token-of-twenty-ch"


def where(*, address: str = "127.0.0.1", port: int = 0, token: str = "") -> Doorway:
    return Doorway(port=port, address=address, token=token, browser=False)


@pytest.mark.parametrize("address", ["127.0.0.1", "::1", "localhost"])
def test_this_machine_s_own_address_needs_no_token(address: str) -> None:
    assert door_of(where(address=address), port=1).token == ""
    assert door_of(where(address=address, token=TOKEN), port=1).token == TOKEN


@pytest.mark.parametrize("address", ["0.0.0.0", "::", "192.168.1.20", "workshop"])
def test_another_address_needs_one(address: str) -> None:
    with pytest.raises(InputRefused, match="--token must be given; here is a fresh one: "):
        door_of(where(address=address), port=1)


@pytest.mark.parametrize("token", ["short", "with space and more", "äöü-äöü-äöü-äöü", "a;b=c;d=e;f=g;h=i"])
def test_a_weak_token_is_refused(token: str) -> None:
    with pytest.raises(InputRefused, match="--token must be at least 12 letters"):
        door_of(where(address="0.0.0.0", token=token), port=1)


def test_a_port_in_use_is_refused_with_what_to_do() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(InputRefused, match="cannot be listened on: .*; give another --port"):
            listening(where(port=taken.getsockname()[1]))


@pytest.mark.parametrize("address", ["203.0.113.7", "no such name", "1.2.3.4.5"])
def test_an_address_that_is_not_here_is_refused(address: str) -> None:
    with pytest.raises(InputRefused, match="cannot be listened on"):
        listening(where(address=address, token=TOKEN))


@pytest.mark.parametrize(
    ("address", "token", "shown"),
    [
        ("127.0.0.1", "", "127.0.0.1:81/"),
        ("0.0.0.0", TOKEN, f"127.0.0.1:81/?token={TOKEN}"),
        ("::", TOKEN, f"[::1]:81/?token={TOKEN}"),
        ("192.168.1.20", TOKEN, f"192.168.1.20:81/?token={TOKEN}"),
    ],
)
def test_the_address_is_one_that_a_browser_can_open(address: str, token: str, shown: str) -> None:
    assert address_of(Door(address=address, port=81, token=token)) == SCHEME + shown


def test_a_free_port_is_found() -> None:
    with listening(where()) as found:
        assert found.getsockname()[1] > 0


def test_a_folder_that_is_none_is_refused_before_anything_listens() -> None:
    with pytest.raises(InputRefused, match="the folder 'nowhere' is not there"):
        serve("nowhere", where(), say=lambda _: None)


def test_the_command_passes_on_what_was_asked(capsys: pytest.CaptureFixture[str]) -> None:
    asked: list[tuple[str | None, Doorway]] = []

    def serve_bench(folder: str | None, there: Doorway, *, say) -> None:
        asked.append((folder, there))
        say("here")

    command = ["bench", "rigs", "--port", "0", "--address", "0.0.0.0", "--token", TOKEN, "--no-browser"]
    assert run(command, serve=serve_bench) == 0
    assert asked == [("rigs", where(address="0.0.0.0", token=TOKEN))]
    assert "the bench is at here" in capsys.readouterr().out


def test_without_a_page_the_command_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["bench"]) == 2
    assert "serves no page" in capsys.readouterr().err
