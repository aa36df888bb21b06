"""A sensor behind a real broker that the test starts, kills and starts again."""

import gc
import os
import shutil
import socket
import subprocess
import threading
from contextlib import contextmanager, suppress

import pytest

pytest.importorskip("paho.mqtt", reason="the extra 'mqtt' is not installed")

from mosquitto import PROGRAM, Broker, Visitor, free_port, until

from cavewatch.clock import now
from cavewatch.core.broker import BrokerSettings
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import Field, LineFormat, TopicSettings, Unit
from sensors import broker as link
from sensors.topic import TopicSource

pytestmark = pytest.mark.skipif(PROGRAM is None, reason="there is no mosquitto on this machine")

WARMTH = Channel("cave", Quantity.TEMPERATURE)
DAMP = Channel("cave", Quantity.HUMIDITY)
FIELDS = {"t": Field(WARMTH, Unit.CELSIUS, 0.5), "rh": Field(DAMP, Unit.PERCENT)}
TOPIC = "dairy/cave probe"


def at_port(port, **more):
    usual = {"tls": False, "ca_file": "", "user": "", "password_file": "", "prefix": "cavewatch"}
    return BrokerSettings("127.0.0.1", port, **usual | {"publish": False} | more)


@contextmanager
def listening(settings, fields=FIELDS, columns=()):
    source = TopicSource(
        TopicSettings("probe", TOPIC, LineFormat.AUTO, columns, fields, 10.0, settings), now
    )
    source.start()
    try:
        yield source
    finally:
        source.close()
        assert source.condition().text == "closed"


@pytest.fixture
def broker(tmp_path):
    made = Broker(tmp_path)
    made.start()
    yield made
    made.kill()


@pytest.fixture
def board(broker):
    made = Visitor(broker.port)
    yield made
    made.leave()


def well(source):
    return until(lambda: source.condition().connected)


def heard(source, count):
    readings = []
    until(lambda: readings.extend(source.take()) or len(readings) >= count)
    return [(reading.channel, reading.value) for reading in readings]


@pytest.mark.parametrize(
    "payload", ['{"t": 12.3, "rh": 88.1, "unit": "°C"}', "t=12.3 rh=88.1", "T=12.3\nRH=88.1\n"]
)
def test_a_message_is_read_in_any_format_and_corrected_by_the_offset(broker, board, payload):
    with listening(at_port(broker.port)) as source:
        well(source)
        assert source.condition().text == "connected; no message has come yet"
        began = now()
        board.send(TOPIC, payload)
        assert heard(source, 2) == [(WARMTH, 12.8), (DAMP, 88.1)]
        condition = source.condition()
        assert condition.text == "connected"
        assert condition.heard_at >= began


def test_a_bare_number_is_read_where_there_is_one_field(broker, board):
    only = {"t": FIELDS["t"]}
    with listening(at_port(broker.port), only, ("t",)) as source:
        well(source)
        board.send(TOPIC, "12.3")
        assert heard(source, 1) == [(WARMTH, 12.8)]


def test_a_message_kept_from_before_is_not_taken_for_a_fresh_one(broker, board):
    board.send(TOPIC, "t=1.0 rh=50", retain=True)
    with listening(at_port(broker.port)) as source:
        well(source)
        board.send(TOPIC, "t=12.3 rh=88.1", retain=True)
        assert heard(source, 2) == [(WARMTH, 12.8), (DAMP, 88.1)]


def test_what_is_no_reading_is_counted_and_told_fit_to_be_shown(broker, board):
    with listening(at_port(broker.port)) as source:
        well(source)
        for payload in (
            b"\x1b[2J\xff\xfe",
            b"\x1b]0;x\x07[bold]",
            b"{" * 4000,
            b"t=" + b"9" * 5000,
            b'{"t": 1' + b"0" * 4000 + b"}",
            b"x" * 100_000,
            b"",
        ):
            board.send(TOPIC, payload)
        board.send(TOPIC, '{"t": 12.3, "rh": 88.1}')
        readings = heard(source, 3)
        # A number that no sensor can mean is a sensor without a value.
        assert readings == [(WARMTH, None), (WARMTH, 12.8), (DAMP, 88.1)]
        condition = source.condition()
        # The message of 100 kB never left the broker.
        assert condition.rejected == 4
        assert condition.text.startswith("connected; 4 messages could not be read, the last")
        assert condition.text.isprintable()
        assert "[" not in condition.text


def test_a_broker_that_is_killed_is_missed_and_found_again(broker, monkeypatch):
    monkeypatch.setattr(link, "_LONGEST_PAUSE", 0.1)
    monkeypatch.setattr(link, "_FIRST_PAUSE", 0.1)
    with listening(at_port(broker.port)) as source:
        for _ in range(3):
            well(source)
            board = Visitor(broker.port)
            board.send(TOPIC, "t=12.3 rh=88.1")
            assert heard(source, 2) == [(WARMTH, 12.8), (DAMP, 88.1)]
            board.leave()
            broker.kill()
            until(lambda: not source.condition().connected)
            broker.start()


def test_a_broker_is_waited_for_without_leaks(tmp_path, monkeypatch):
    monkeypatch.setattr(link, "_LONGEST_PAUSE", 0.01)
    monkeypatch.setattr(link, "_FIRST_PAUSE", 0.01)
    broker = Broker(tmp_path)
    gc.collect()
    threads, files = threading.active_count(), len(os.listdir("/proc/self/fd"))
    with listening(at_port(broker.port)) as source:
        until(lambda: source.condition().text.endswith("Connection refused"))
        assert source.condition().text.startswith("waiting for the MQTT broker 127.0.0.1:")
        for _ in range(5):
            broker.start()
            well(source)
            broker.kill()
            until(lambda: not source.condition().connected)
    gc.collect()
    assert threading.active_count() == threads
    assert len(os.listdir("/proc/self/fd")) <= files


def test_a_user_is_let_in_by_the_first_line_of_the_password_file(tmp_path):
    passwd = shutil.which("mosquitto_passwd")
    if passwd is None:
        pytest.skip("there is no mosquitto_passwd on this machine")
    users = tmp_path / "users"
    subprocess.run([passwd, "-b", "-c", users, "dairy", "secret"], check=True, capture_output=True)
    users.chmod(0o644)
    tmp_path.chmod(0o755)
    broker = Broker(tmp_path, f"allow_anonymous false\npassword_file {users}\nuser root\n")
    broker.start()
    secret = tmp_path / "secret"
    try:
        secret.write_text("secret\n")
        settings = at_port(broker.port, user="dairy", password_file=str(secret))
        with listening(settings) as source:
            well(source)
        secret.write_text("wrong\n")
        with listening(settings) as source:
            until(lambda: "it refuses (Not authorized); are" in source.condition().text)
        settings = at_port(broker.port, user="dairy", password_file=str(tmp_path / "none"))
        with listening(settings) as source:
            until(lambda: "none cannot be read: No such file" in source.condition().text)
    finally:
        broker.kill()


@pytest.fixture
def pretender():
    """Something at a port that answers each packet as the test says, then hangs up."""
    listener = socket.create_server(("127.0.0.1", 0))
    answers = []

    def serve():
        while True:
            try:
                caller, _ = listener.accept()
            except OSError:
                return
            with caller, suppress(ConnectionError):
                for answer in answers:
                    packet = caller.recv(1000)
                    caller.sendall(answer(packet))
                caller.recv(1000)

    thread = threading.Thread(target=serve)
    thread.start()
    yield listener.getsockname()[1], answers
    listener.shutdown(socket.SHUT_RDWR)
    listener.close()
    thread.join()


def test_a_topic_that_may_not_be_read_is_told(pretender):
    port, answers = pretender
    # MQTT 5: CONNACK with success; SUBACK with the packet's own number and 0x87, not authorised.
    answers += [lambda _: b"\x20\x03\0\0\0", lambda asked: b"\x90\x04" + asked[2:4] + b"\0\x87"]
    with listening(at_port(port)) as source:
        until(
            lambda: source.condition().text.endswith(
                "this user read the topic; change its access rules"
            )
        )
        assert not source.condition().connected


@pytest.mark.parametrize(
    "answer",
    [
        b"HTTP/1.1 400 Bad Request\r\n\r\n",
        b"\x20\x03\0\x84\0",
        b"\x20\x02\0\x01",
        b"\xff" * 500,
        b"",
    ],
    ids=["web", "version", "old", "garbage", "silence"],
)
def test_what_is_no_such_broker_is_told_and_survived(pretender, answer, monkeypatch):
    monkeypatch.setattr(link, "_FIRST_PAUSE", 0.01)
    monkeypatch.setattr(link, "_ANSWERS_WITHIN", 0.1)
    port, answers = pretender
    answers.append(lambda _: answer)
    with listening(at_port(port)) as source:
        text = until(
            lambda: source.condition().text.startswith("waiting") and source.condition().text
        )
        assert text.isprintable()
        again = []
        answers[:] = [lambda packet: again.append(packet) or answer]
        until(lambda: again)


not_closed_by_paho = pytest.mark.filterwarnings("ignore:unclosed <ssl.SSLSocket:ResourceWarning")
"""The library leaves the socket of a failed handshake to the garbage collector."""


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"tls": True}, "it hung up at once; do port and tls fit together?"),
        ({"tls": True, "ca_file": "/no/such.crt"}, "/no/such.crt cannot be used: it is not there"),
        ({"tls": True, "ca_file": __file__}, "it is no certificate in PEM form"),
    ],
)
@not_closed_by_paho
def test_what_stands_in_the_way_of_encryption_is_told(broker, more, words):
    with listening(at_port(broker.port, **more)) as source:
        until(lambda: words in source.condition().text)


@not_closed_by_paho
def test_an_encrypted_connection_is_made_where_the_certificate_is_vouched_for(tmp_path):
    if shutil.which("openssl") is None:
        pytest.skip("there is no openssl on this machine")
    key, certificate = tmp_path / "key.pem", tmp_path / "crt.pem"
    asked = "req -x509 -newkey rsa:2048 -nodes -days 2 -subj /CN=127.0.0.1 -addext"
    asked = [*asked.split(), "subjectAltName=IP:127.0.0.1", "-keyout", key, "-out", certificate]
    subprocess.run(["openssl", *asked], check=True, capture_output=True)
    more = f"allow_anonymous true\nkeyfile {key}\ncertfile {certificate}\nuser root\n"
    broker = Broker(tmp_path, more)
    broker.start()
    try:
        with listening(at_port(broker.port, tls=True, ca_file=str(certificate))) as source:
            well(source)
        with listening(at_port(broker.port, tls=True)) as source:
            until(lambda: "certificate is not trusted" in source.condition().text)
    finally:
        broker.kill()


def test_a_machine_that_nobody_knows_is_told():
    settings = BrokerSettings(
        "no-such-machine.invalid", free_port(), False, "", "", "", "cavewatch", False
    )
    with listening(settings) as source:
        until(lambda: "no machine of this name is known" in source.condition().text)
