"""An example of the other side: a gateway that speaks our signed HTTP and reaches no phone.

It is a program of its own and uses the standard library only, so that it can be read as a description of the protocol
and run anywhere. What it takes it writes into a journal, one JSON object a line, and syncs that to disk before it
answers: the journal is the truth about what a phone would have received.

    python3 deploy/example_peer.py --keys-in FILE --keys-out FILE --hook URL --journal FILE

Its first line of output is its port. On that port:

    POST /outgoing          a text to a phone: signed, with an Idempotency-Key; 202, or problem details
    GET  /about             {"peer": "example"}
    POST /phone             a phone texts in: {"source", "destination", "text"} and what else sms.inbound may hold
    GET  /texts             the journal's texts as a list
    GET  /receipts          how many receipts and texts are still to be posted

It can be made as unreliable as real gateways are; what befalls which text is drawn from --seed.
"""

import argparse
import hashlib
import hmac
import json
import os
import random
import sys
import threading
import time
import uuid
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from peer_posts import Object, Poster, now, read_keys, signature

TOLERANCE = 300
LONGEST_BODY = 64 * 1024


class Journal:
    """What was taken, on disk before it is answered; read again at start, so that a key is known after a restart."""

    def __init__(self, path: Path) -> None:
        """Open the journal, which may hold an earlier run's texts."""
        self.texts: list[Object] = []
        self.answers: dict[str, tuple[str, Object]] = {}
        raw = path.read_bytes() if path.exists() else b""
        # A line that was being written when the process died was never answered: it does not count.
        whole = raw[: raw.rfind(b"\n") + 1]
        if whole != raw:
            path.write_bytes(whole)
        for line in whole.splitlines():
            self._remember(json.loads(line))
        self._file = path.open("a", encoding="utf-8")

    def keep(self, event: str, **values: Any) -> None:
        """Write one line and see it on disk."""
        entry = {"event": event, "at": now(), **values}
        self._file.write(json.dumps(entry, ensure_ascii=False) + "\n")
        self._file.flush()
        os.fsync(self._file.fileno())
        self._remember(entry)

    def _remember(self, entry: Object) -> None:
        if entry["event"] == "outgoing":
            self.texts.append(entry)
            self.answers[entry["key"]] = (entry["fingerprint"], entry["answer"])


class Peer:
    """What the gateway does with a text, and what goes wrong on the way."""

    def __init__(self, options: argparse.Namespace) -> None:
        """Begin as the command line says."""
        self.lock = threading.Lock()
        self.keys = read_keys(options.keys_in)
        self.journal = Journal(options.journal)
        self.poster = Poster(options.hook, read_keys(options.keys_out), self.keep)
        self.luck = random.Random(options.seed)
        self.options = options

    def keep(self, event: str, **values: Any) -> None:
        """Write a line into the journal, one at a time."""
        with self.lock:
            self.journal.keep(event, **values)

    def befalls(self, likelihood: float) -> bool:
        """Draw whether something goes wrong."""
        return self.luck.random() < likelihood

    def verifies(self, headers: Any, body: bytes) -> bool:
        """Return whether a request is signed with a key of ours, and now."""
        id_, stamp = headers.get("webhook-id", ""), headers.get("webhook-timestamp", "")
        if not id_ or not stamp.isdigit() or abs(time.time() - int(stamp)) > TOLERANCE:
            return False
        wanted = [signature(key, id_, stamp, body) for key in self.keys]
        offered = headers.get("webhook-signature", "").split(" ")
        return any(hmac.compare_digest(one.encode(), other.encode()) for one in offered for other in wanted)

    def take(self, key: str, body: bytes) -> tuple[int, Object, bool]:
        """Take a text, or know it again; return status, answer and whether that answer is lost on the way."""
        fingerprint = hashlib.sha256(body).hexdigest()
        with self.lock:
            lost = self.befalls(self.options.drop_answers)
            known = self.journal.answers.get(key)
            if known:
                same = known[0] == fingerprint
                return (202, known[1], lost) if same else (422, problem("other-body", 422), False)
            if self.befalls(self.options.refuse_busy):
                return 503, problem("busy", 503), False
            if self.befalls(self.options.refuse_pace):
                return 429, problem("too-fast", 429), False
            text = json.loads(body)
            answer = {"gateway_ref": f"peer-{uuid.uuid4()}", "parts": 1, "alphabet": "gsm7"}
            self.journal.keep("outgoing", key=key, fingerprint=fingerprint, answer=answer, **text)
            self._send_receipts(text, answer)
        return 202, answer, lost

    def _send_receipts(self, text: Object, answer: Object) -> None:
        options = self.options
        wait = (
            0.0
            if self.befalls(options.early)
            else 0.3 + (options.late_by if self.befalls(options.late) else 0)
        )
        for order, (stage, final) in enumerate((("enroute", False), ("delivered", True))):
            data = {
                "our_ref": None if self.befalls(options.bare) else text["our_ref"],
                "gateway_ref": answer["gateway_ref"],
                "stage": stage,
                "part": None,
                "code": {"scheme": "smpp", "value": 1 + order},
                "at": now(),
                "final": final,
            }
            id_ = f"receipt-{uuid.uuid4()}"
            jumbled = self.luck.uniform(0, 0.5) if self.befalls(options.jumble) else 0.1 * order
            for _ in range(2 if self.befalls(options.double) else 1):
                self.poster.later(wait + jumbled, "sms.progress", data, id_)


def problem(name: str, status: int) -> Object:
    """Return problem details as RFC 9457 has them."""
    return {"type": f"urn:example-peer:{name}", "title": name.replace("-", " "), "status": status}


class Handler(BaseHTTPRequestHandler):
    """One request."""

    protocol_version = "HTTP/1.1"
    # An answer leaves at once and whole.
    disable_nagle_algorithm = True
    wbufsize = -1
    timeout = 30
    peer: Peer

    def do_POST(self) -> None:
        """Take a text, or let a phone text in."""
        length = int(self.headers.get("Content-Length") or 0)
        if length > LONGEST_BODY:
            self.close_connection = True
            self._answer(413, problem("too-long", 413))
            return
        body = self.rfile.read(length)
        {"/phone": self._text_in, "/outgoing": self._take}.get(self.path, self._not_found)(body)

    def _take(self, body: bytes) -> None:
        key = (self.headers.get("Idempotency-Key") or "").strip('"')
        if not self.peer.verifies(self.headers, body):
            self._answer(401, problem("bad-signature", 401))
        elif not key:
            self._answer(400, problem("no-key", 400))
        else:
            status, answer, self.close_connection = self.peer.take(key, body)
            time.sleep(self.peer.options.answer_after)
            if not self.close_connection:
                self._answer(status, answer)

    def _not_found(self, _body: bytes) -> None:
        self._answer(404, problem("not-found", 404))

    def _text_in(self, body: bytes) -> None:
        text: Object = json.loads(body)
        copies = text.pop("copies", 1)
        data = {"message_ref": f"in-{uuid.uuid4()}", "received_at": now(), **text}
        id_ = f"inbound-{uuid.uuid4()}"
        for _ in range(copies):
            self.peer.poster.later(0, "sms.inbound", data, id_)
        self._answer(202, {"message_ref": data["message_ref"]})

    def do_GET(self) -> None:
        """Tell about this peer."""
        with self.peer.lock:
            known = {
                "/about": {"peer": "example"},
                "/texts": list(self.peer.journal.texts),
                "/receipts": {"waiting": self.peer.poster.waiting},
            }
        if self.path in known:
            self._answer(200, known[self.path])
        else:
            self._not_found(b"")

    def _answer(self, status: int, answer: Any) -> None:
        body = json.dumps(answer, ensure_ascii=False).encode()
        self.send_response(status)
        self.send_header("Content-Type", "application/json" if status < 400 else "application/problem+json")
        self.send_header("Content-Length", str(len(body)))
        if status in (429, 503):
            self.send_header("Retry-After", "1")
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: Any) -> None:
        """Keep still: numbers would stand in it."""


FAULTS = {
    "drop-answers": "takes a text and never answers",
    "refuse-pace": "refuses a text as too fast",
    "refuse-busy": "refuses a text for now",
    "early": "posts a receipt at once",
    "late": "posts a receipt late",
    "double": "posts a receipt twice",
    "jumble": "posts receipts out of order",
    "bare": "leaves our reference out of a receipt",
}


def main() -> None:
    """Serve until the process is ended."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--port", type=int, default=0, help="loopback port; 0 takes a free one")
    parser.add_argument("--keys-in", type=Path, required=True, help="keys the service signs its texts with")
    parser.add_argument("--keys-out", type=Path, required=True, help="keys this peer signs its posts with")
    parser.add_argument("--hook", required=True, help="where to post: http://127.0.0.1:8080/hooks/v1/http")
    parser.add_argument("--journal", type=Path, required=True, help="file that keeps every text taken")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument(
        "--answer-after", type=float, default=0.0, help="seconds from taking a text to its answer"
    )
    parser.add_argument("--late-by", type=float, default=5.0, help="seconds that a late receipt is late by")
    for fault, what in FAULTS.items():
        parser.add_argument(f"--{fault}", type=float, default=0.0, metavar="P", help=f"how likely it {what}")
    options = parser.parse_args()
    Handler.peer = Peer(options)
    server = ThreadingHTTPServer(("127.0.0.1", options.port), Handler)
    print(server.server_address[1], flush=True)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        sys.exit(0)


if __name__ == "__main__":
    main()
