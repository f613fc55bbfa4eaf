"""The same photo and settings give the same document, to the byte, wherever and however it runs."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[1] / "fixtures" / "demo.jpg"
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "OPENCV_FOR_THREADS_NUM", "MKL_NUM_THREADS")


COMMAND = ("-m", "plaidcut", "measure", "cloth.jpg", "--json")
PROGRAM = """
import numpy, scipy.linalg  # with the threads they like
from plaidcut import tasks
from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import to_text
print(to_text(to_document(tasks.measure("cloth.jpg"))), end="")
"""


def measured(folder, *, threads, hash_seed, how=COMMAND):
    """What a process of its own measures in a folder, as bytes."""
    folder.mkdir()
    shutil.copy(DEMO, folder / "cloth.jpg")
    environment = dict.fromkeys(THREADS, str(threads)) | {"PYTHONHASHSEED": str(hash_seed)}
    done = subprocess.run(
        [sys.executable, *how],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)} | environment,
        capture_output=True,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    """The document of a run with one thread."""
    return measured(tmp_path_factory.mktemp("first") / "here", threads=1, hash_seed=0)


@pytest.mark.parametrize(("threads", "hash_seed"), [(1, 12345), (2, 0), (4, 7)])
def test_every_run_gives_the_same_document(first, tmp_path, threads, hash_seed):
    """Another folder, another number of threads, another order of Python's sets."""
    assert measured(tmp_path / "wo anders é", threads=threads, hash_seed=hash_seed) == first


def test_a_program_of_ones_own_gets_the_same_document(first, tmp_path):
    """Also where linear algebra was loaded before plaidcut could ask for one thread."""
    assert measured(tmp_path / "own", threads=4, hash_seed=0, how=("-c", PROGRAM)) == first
