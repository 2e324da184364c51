"""Two hundred kills of a saving process: the farm file always opens."""

import json
import subprocess
import sys

KILLS = 200
SCRIPT = """
import json, os, random, signal, sys, time
from dataclasses import replace
from pathlib import Path
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.files.write_aside import leftovers
from vrxapp.workflows.sample_farm import sample_farm

path, kills = Path(sys.argv[1]), int(sys.argv[2])
farm = sample_farm()
farms = [replace(farm, name=name) for name in ("one", "two")]
start = time.perf_counter()
write_farm(farms[0], path)
one_save_s = time.perf_counter() - start
random.seed(7)
opened, killed_while_saving, seen = 0, 0, set()
for _ in range(kills):
    child = os.fork()
    if child == 0:
        while True:
            for one in farms:
                write_farm(one, path)
    time.sleep(random.uniform(0.0, 2.5 * one_save_s))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    killed_while_saving += bool(leftovers(path))
    for leftover in leftovers(path):
        leftover.unlink()
    seen.add(read_farm(path).name)
    opened += 1
print(json.dumps([opened, killed_while_saving, sorted(seen)]))
"""


def test_after_two_hundred_kills_the_farm_file_opens_each_time(tmp_path):
    ended = subprocess.run(
        [sys.executable, "-c", SCRIPT, tmp_path / "farm.gpkg", str(KILLS)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    opened, killed_while_saving, seen = json.loads(ended.stdout)
    assert opened == KILLS
    assert killed_while_saving > KILLS / 4
    assert seen == ["one", "two"]
    assert [path.name for path in tmp_path.iterdir()] == ["farm.gpkg"]
