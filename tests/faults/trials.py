"""One trial for each thing that a kill may interrupt: it makes a store, and knows afterwards what must be in it."""

from __future__ import annotations

import re
import sqlite3
from contextlib import ExitStack, closing
from dataclasses import replace
from pathlib import Path
from typing import ClassVar

import numpy as np

from tests.application.squad.squad_stores import contents, open_coach, take_in
from tests.application.squad.test_kill import SESSIONS, SHOTS, files_of_a_season
from tests.cli.program import Program
from tests.faults import jobs
from tests.faults.killed import Job, killed
from tests.store.samples import ENTRY, PROFILE, START, new_session, new_shot
from trainer.core.units import to_si
from trainer.store.database import open_database
from trainer.store.keeping import doctor
from trainer.store.migrations import MIGRATIONS
from trainer.store.store import open_store

HEADER = "Club,Carry (yd),Side (yd)\n"


class Trial:
    """A store that programs work on and are killed at; `strike` kills one and looks at what it left."""

    job: ClassVar[Job]
    within_s: ClassVar[float]
    """A kill comes within so long of the first line told; about what the work takes."""

    def __init__(self, folder: Path, generator: np.random.Generator) -> None:
        self.folder, self.generator = folder, generator
        self.program = Program(folder / "store.db")
        folder.mkdir(parents=True)
        self.begin()

    def strike(self) -> bool:
        """Kill a program at a moment of chance, and check what is left: whether it was at work still."""
        told, at_work = killed(type(self).job, self.folder, self.words(), self.generator.uniform(0.0, self.within_s))
        self.check(told)
        return at_work

    def begin(self) -> None:
        """Make what the programs work on."""
        assert self.program("setup", "--from-carry", "7 iron=150yd").code == 0

    def words(self) -> list[str]:
        """What the next program is to do."""
        raise NotImplementedError

    def check(self, told: list[str]) -> None:
        """Look at what a killed program left; `told` is what it had said was done."""
        raise NotImplementedError


def require_sound(path: Path) -> None:
    """The store opens, for the doctor and for writing, and nothing in it is by half."""
    assert doctor(path).sound
    open_store(path, write=True).close()


class TypedShots(Trial):
    """`trainer record`: each acknowledged shot is there as it was typed, and at most one more a kill."""

    job = jobs.type_shots
    within_s = 0.5

    def begin(self) -> None:
        """A player without a shot."""
        super().begin()
        self.carries: dict[int, float] = {}
        self.untold = 0

    def words(self) -> list[str]:
        """Go on with carries that were not yet typed."""
        return [str(len(self.carries) + self.untold)]

    def check(self, told: list[str]) -> None:
        """Every `kept` line is a shot."""
        acknowledged = (re.fullmatch(r"kept (\d+): .*: ([\d.]+)", line) for line in told)
        self.carries |= {int(match[1]): float(match[2]) for match in acknowledged if match}
        require_sound(self.program.store)
        with open_store(self.program.store, write=False) as store:
            shots = {shot.id: shot.entry.carry_m for shot in store.shots()}
        for number, carry_yd in self.carries.items():
            assert shots[number] is not None
            assert abs(shots[number] - to_si(carry_yd, "yd")) < 1e-6  # type: ignore[operator]  # asserted above
        more = len(shots) - len(self.carries)
        assert self.untold <= more <= self.untold + 1
        self.untold = more


class Imports(Trial):
    """`trainer import`: a table is in with all its rows or not at all, and can be imported then."""

    job = jobs.import_tables
    within_s = 0.35
    rows = 40

    def begin(self) -> None:
        """A player, and no table yet."""
        super().begin()
        self.made = 0
        self.taken: set[str] = set()

    def words(self) -> list[str]:
        """Three tables more."""
        names = []
        for _ in range(3):
            self.made += 1
            lines = [f"7i,{100 + self.made % 90}.{row:02},1\n" for row in range(self.rows)]
            names.append(f"table{self.made}.csv")
            (self.folder / names[-1]).write_text(HEADER + "".join(lines))
        return names

    def check(self, told: list[str]) -> None:
        """Those told are in, and each that is in is whole."""
        self.taken |= {line.split()[1] for line in told if line.startswith("imported ")}
        require_sound(self.program.store)
        with open_store(self.program.store, write=False) as store:
            held = store.imports(store.player().id)
            assert {each.name for each in held} >= self.taken
            assert {each.shots for each in held} <= {self.rows}
            assert len(store.shots()) == self.rows * len(held)
        again = {f"table{number}.csv" for number in range(1, self.made + 1)} - {each.name for each in held}
        for name in sorted(again)[:1]:
            assert self.program("import", str(self.folder / name), "--accept", *jobs.SIDES).code == 0
            self.taken.add(name)


class Watching(Trial):
    """`trainer import --watch`: no row is lost, none is taken twice, whatever moment the watch ends at."""

    job = jobs.watch_table
    within_s = 0.5

    def begin(self) -> None:
        """A table with its header only."""
        super().begin()
        self.table = self.folder / "live.csv"
        self.table.write_text(HEADER)
        self.rows = 0
        self.told = 0

    def words(self) -> list[str]:
        """A dozen rows more stand in the table."""
        with self.table.open("a") as file:
            for _ in range(12):
                file.write(f"7i,{100 + self.rows / 100:.2f},1\n")
                self.rows += 1
        return [self.table.name]

    def check(self, told: list[str]) -> None:
        """The shots are the table's first rows, in order; a last look takes the rest."""
        self.told += sum(line.startswith("kept ") for line in told)
        require_sound(self.program.store)
        taken = self.carries()
        assert len(taken) >= self.told
        assert taken == list(range(len(taken)))
        end = ("--watch", "--accept", *jobs.SIDES, "--stop-after", "0s")
        assert self.program("import", str(self.table), *end).code == 0
        assert self.carries() == list(range(self.rows))
        self.told = self.rows

    def carries(self) -> list[int]:
        """Which rows are shots, by their carries."""
        with open_store(self.program.store, write=False) as store:
            assert len({shot.session_id for shot in store.shots()}) <= 1
            return [round((shot.entry.carry_m or 0.0) / to_si(1, "yd") * 100) - 10_000 for shot in store.shots()]


class Migration(Trial):
    """An old store is brought up to date: each step is done or not, with every shot there."""

    job = jobs.migrate
    within_s = 0.08
    shots = 60

    def begin(self) -> None:
        """A store of today, from which old ones are made."""
        self.today = self.folder / "today.db"
        with open_store(self.today, write=True) as store:
            store.save_profile(PROFILE, START)
            session = store.begin_session(replace(new_session(store.player().id), plan_id=None))
            for number in range(self.shots):
                store.add_shot(session.id, new_shot(entry=replace(ENTRY, carry_m=100.0 + number)))
        self.made = 0

    def words(self) -> list[str]:
        """Four old stores."""
        names = []
        for _ in range(4):
            self.made += 1
            names.append(f"old{self.made}.db")
            older_copy(self.today, self.folder / names[-1], int(self.generator.integers(1, MIGRATIONS[-1].number)))
        return names

    def check(self, told: list[str]) -> None:
        """Old or new, each is sound, keeps its shots, and is brought up to date by the next opening."""
        opened = {line.split()[1] for line in told if line.startswith("opened ")}
        for number in range(self.made - 3, self.made + 1):
            path = self.folder / f"old{number}.db"
            with closing(sqlite3.connect(path)) as connection:
                version = connection.execute("SELECT max(number) FROM migration").fetchone()[0]
                assert connection.execute("SELECT count(*) FROM shot").fetchone()[0] == self.shots
            assert path.name not in opened or version == MIGRATIONS[-1].number
            require_sound(path)
            with open_store(path, write=False) as store:
                carries = [shot.entry.carry_m for shot in store.shots()]
                assert carries == [100.0 + shot for shot in range(self.shots)]
            path.unlink()


def older_copy(today: Path, path: Path, version: int) -> None:
    """What of the store `today` a store of `version` holds, at `path`."""
    open_database(path, write=True, migrations=MIGRATIONS[:version]).close()
    with closing(sqlite3.connect(path)) as old:
        old.execute("ATTACH ? AS today", (str(today),))
        tables = old.execute("SELECT name FROM main.sqlite_master WHERE type = 'table'").fetchall()
        for (table,) in tables:
            if table == "migration":
                continue
            known = {row[1] for row in old.execute(f"PRAGMA today.table_info({table})")}
            shared = ", ".join(row[1] for row in old.execute(f"PRAGMA main.table_info({table})") if row[1] in known)
            if shared:
                old.execute(f"INSERT INTO main.{table} ({shared}) SELECT {shared} FROM today.{table}")
        old.commit()


class Backups(Trial):
    """`trainer backup`: a copy is whole or not there, and the store is as it was."""

    job = jobs.back_up
    within_s = 0.25

    def begin(self) -> None:
        """A store with some shots."""
        super().begin()
        with open_store(self.program.store, write=True) as store:
            session = store.begin_session(new_session(store.player().id))
            store.add_shots(session.id, [new_shot(100.0 + number) for number in range(400)])
        self.made = 0

    def words(self) -> list[str]:
        """Under names of their own."""
        self.made += 1
        return [f"copy{self.made}-{part}.db" for part in range(3)]

    def check(self, told: list[str]) -> None:
        """Copies told are there; each that is there is sound and holds all; the name can be used else."""
        copied = {line.split()[1] for line in told if line.startswith("copied ")}
        require_sound(self.program.store)
        for part in range(3):
            path = self.folder / f"copy{self.made}-{part}.db"
            assert path.exists() or path.name not in copied
            if not path.exists():
                assert self.program("backup", str(path)).code == 0
            with open_store(path, write=False) as copy:
                assert len(copy.shots()) == 400
            assert doctor(path).sound


class Restores(Trial):
    """`restore`: what is in the store's place is the old one or the new one, whole."""

    job = jobs.put_back
    within_s = 0.12

    def begin(self) -> None:
        """A store, and two backups that hold different shots."""
        super().begin()
        for name, shots in (("few.db", 3), ("many.db", 300)):
            with open_store(self.program.store, write=True) as store:
                session = store.begin_session(new_session(store.player().id))
                store.add_shots(session.id, [new_shot()] * shots)
                store.backup_to(self.folder / name)

    def words(self) -> list[str]:
        """In turn."""
        return ["few.db", "many.db", "few.db"]

    def check(self, told: list[str]) -> None:
        """One of the two is there, and nothing else."""
        require_sound(self.program.store)
        with open_store(self.program.store, write=False) as store:
            assert len(store.shots()) in (3, 303)
        for left in self.folder.glob("store.db.replaced-*"):
            left.unlink()


class Purges(Trial):
    """`trainer purge`: a player is there with all that is his or gone to the last byte; the others stay."""

    job = jobs.purge
    within_s = 0.3

    def begin(self) -> None:
        """One player who stays."""
        super().begin()
        self.made = 0

    def words(self) -> list[str]:
        """Two who are to go."""
        self.made += 1
        names = [f"Purslane{self.made}x{part}" for part in range(2)]
        with open_store(self.program.store, write=True) as store:
            for name in names:
                player = store.save_profile(replace(PROFILE, alias=name), START)
                session = store.begin_session(replace(new_session(player.id), note=f"note of {name}"))
                tagged = replace(ENTRY, tags=(name.lower(),))
                store.add_shots(session.id, [new_shot(entry=tagged)] * 60)
        return names

    def check(self, told: list[str]) -> None:
        """Each is whole or gone; after the doctor's look no byte of one gone is in any file."""
        purged = {line.split()[1] for line in told if line.startswith("purged ")}
        require_sound(self.program.store)
        with open_store(self.program.store, write=False) as store:
            held = {player.profile.alias: player.id for player in store.players()}
            assert "player" in held
            assert not purged & set(held)
            shots = {alias: len(store.shots(player_id=number)) for alias, number in held.items() if number}
        assert all(count == (0 if alias == "player" else 60) for alias, count in shots.items())
        everything = b"\0".join(path.read_bytes() for path in self.folder.iterdir() if path.is_file())
        for part in range(2):
            name = f"Purslane{self.made}x{part}"
            gone = name.encode() not in everything and name.lower().encode() not in everything
            assert gone == (name not in held)
            if name in held:
                assert self.program("purge", "--yes", "--player", name).code == 0


class Collects(Trial):
    """`trainer squad collect`: each result file is in whole or not at all; collecting again brings the rest."""

    job = jobs.collect
    within_s = 0.5

    def begin(self) -> None:
        """A season's files, and what a coach's store holds of them at the end."""
        self.made = 0
        with ExitStack() as stack:
            self.files = files_of_a_season(stack, self.folder)
            (self.folder / "in").mkdir()
            for number, content in enumerate(self.files):
                (self.folder / "in" / f"{number:02}.result.toml").write_bytes(content)
            whole = open_coach(stack, self.folder / "whole.db")
            take_in(whole, self.files)
            self.whole = contents(whole)

    def words(self) -> list[str]:
        """Into an empty store."""
        path = self.folder / "coach.db"
        path.unlink(missing_ok=True)
        with ExitStack() as stack:
            open_coach(stack, path)
        return ["in"]

    def check(self, told: list[str]) -> None:
        """Sessions that are in have all their shots."""
        path = self.folder / "coach.db"
        require_sound(path)
        with open_store(path, write=True) as store:
            member = store.squad.member("kestrel")
            held = () if member.player_id is None else store.sessions(member.player_id)
            assert all(len(store.squad.shared_session(session.id).shots) == SHOTS for session in held)
            assert "collected" not in told or len(held) == SESSIONS
            take_in(store, self.files)
            assert contents(store) == self.whole


TRIALS: tuple[type[Trial], ...] = (
    TypedShots, Imports, Watching, Migration, Backups, Restores, Purges, Collects,
)  # fmt: skip
