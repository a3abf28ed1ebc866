"""A process that puts parts of a study, or the whole of it, into an object store is killed at instants chosen by chance and at
instants within an upload; a new process goes on, and the bytes are those of a study that nobody disturbed.

Between the worker and the server stands a gate that passes requests on slowly and kills the worker when it has passed so many
bytes of one object.
"""

import json
import multiprocessing
import random
import signal
import socket
import threading
import time

import fsspec
import giveway
import giveway.parts
import pytest
import store_worker

PARTS = 6
# Object, and after how many bytes of it the worker is killed: or when all of it is there and the answer is still on its way.
ANSWER = -1
WITHIN_PARTS = [("part-1/runs.parquet", 3000), ("part-1/plan.json", 0), ("part-2/study.json", 300), ("part-3/study.json", ANSWER)]
WITHIN_JOINING = [
    ("/large/manifest.json", 100),
    ("/large/runs/000000000000-", ANSWER),
    ("/large/runs/000000000100-", 2500),
    ("/large/study.json", 200),
    ("/large/study.json", ANSWER),
]


class Gate:
    """Between workers and a server, on the loopback interface."""

    def __init__(self, server):
        self.server = server
        self.door = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://127.0.0.1:{self.door.getsockname()[1]}"
        self.kill, self.name, self.at = None, None, None
        threading.Thread(target=self.opened, daemon=True).start()

    def arm(self, kill, name, at):
        self.kill, self.name, self.at = kill, name.encode(), at

    def opened(self):
        while True:
            try:
                worker = self.door.accept()[0]
            except OSError:
                return
            server = socket.create_connection(self.server)
            state = {"answered": False}
            for pump in (self.requests, self.answers):
                threading.Thread(target=self.passed, args=(pump, worker, server, state), daemon=True).start()

    def passed(self, pump, *ends):
        try:
            pump(*ends)
        except OSError:
            pass
        for end in ends[:2]:
            try:
                end.shutdown(socket.SHUT_RDWR)
            except OSError:
                pass

    def fire(self):
        kill, self.kill = self.kill, None
        if kill:
            kill()

    def requests(self, worker, server, state):
        left = None
        while data := worker.recv(2048):
            head = data.split(b"\r\n", 1)[0]
            if self.kill and head.startswith(b"PUT ") and self.name in head:
                if self.at == ANSWER:
                    state["answered"] = True
                else:
                    left = data.index(b"\r\n\r\n") + 4 + self.at
            if left is not None:
                server.sendall(data[:left])
                if len(data) > left:
                    return self.fire()
                left -= len(data)
            else:
                server.sendall(data)
            if not head.endswith(b"HTTP/1.1"):
                # Of a body, half a megabyte a second.
                time.sleep(0.004)

    def answers(self, worker, server, state):
        while data := server.recv(65536):
            # `100 Continue` asks for the body.
            if state["answered"] and not data.startswith(b"HTTP/1.1 100"):
                return self.fire()
            worker.sendall(data)


@pytest.fixture
def gate(server):
    settings = dict(fsspec.config.conf["s3"])
    host, port = settings["endpoint_url"].removeprefix("http://").split(":")
    gate = Gate((host, int(port)))
    yield gate, {**settings, "endpoint_url": gate.address}
    gate.door.close()


@pytest.fixture(scope="module")
def processes():
    # Forked from one that has imported everything.
    processes = multiprocessing.get_context("forkserver")
    processes.set_forkserver_preload(["store_worker"])
    return processes


def objects(store, address):
    store.invalidate_cache()
    return {name.split("large/", 1)[1]: store.cat_file(name) for name in store.find(address)}


def test_killed_at_any_instant_it_leaves_no_trace(server, gate, processes, scenarios, tmp_path):
    started = time.monotonic()
    gate, settings = gate
    study = {
        "title": "large",
        "base": str(scenarios / "first.toml"),
        "output": {"columns": ["velocity_change_mps", "ending"]},
        "sample": {"method": "sobol", "count": 600, "standard": ["nut-factor"]},
    }
    # Undisturbed, into a folder.
    calm = giveway.parts.prepare(study, tmp_path / "large", PARTS, by_part=True)
    for part in range(1, PARTS + 1):
        giveway.parts.compute(calm, part)
    giveway.parts.finish(calm)
    expected = {
        path.relative_to(tmp_path / "large").as_posix(): path.read_bytes()
        for path in (tmp_path / "large").rglob("*")
        if path.is_file()
    }
    address = "s3://harrow-vale/kills/large"
    job = giveway.parts.prepare(study, address, PARTS)
    told = []

    def attempt(finishes, cut=None, after=None):
        """A new process; whether it was killed."""
        process = processes.Process(target=store_worker.work, args=(settings, str(tmp_path), job, finishes))
        process.start()
        if cut:
            gate.arm(process.kill, *cut)
        process.join(after or 15)
        process.kill()
        process.join(10)
        gate.kill = None
        told.append((cut or after, process.exitcode))
        assert process.exitcode in (0, -signal.SIGKILL), told
        return process.exitcode != 0

    def whole(place):
        """What a reader who looks at the store takes for whole, held against the undisturbed study."""
        there = objects(server, place)
        try:
            files = json.loads(there["study.json"])["files"]
        except (KeyError, ValueError):
            return False
        return all(there.get(file["name"]) == expected[file["name"]] for file in files)

    def missing():
        with pytest.raises(giveway.UsageError, match="not there yet") as caught:
            giveway.parts.finish(job)
        assert not server.exists(f"{address}/study.json")
        return str(caught.value)

    for cut in WITHIN_PARTS:
        assert attempt(False, cut=cut), told
        # The object that was cut is none, the one whose answer was lost is there.
        assert (cut[0].split("/")[0] in missing()) == (cut[1] != ANSWER), cut
    chance = random.Random(17)
    by_chance = sum(attempt(False, after=chance.uniform(0.05, 0.5)) for _ in range(5))
    assert by_chance >= 3, told
    assert not attempt(False), told

    for cut in WITHIN_JOINING:
        assert attempt(True, cut=cut), told
        assert whole(address) == (cut == WITHIN_JOINING[-1]), cut
    # Killed while it cleared up: some parts are gone.
    server.rm(f"{job['work']}/part-2", recursive=True)
    assert not attempt(True), told

    found = objects(server, address)
    assert found.keys() == expected.keys()
    assert [name for name in found if found[name] != expected[name]] in ([], ["manifest.json"])
    assert not objects(server, job["work"])
    # Twelve seconds on an idle machine.
    assert time.monotonic() - started < 120, told
