"""The same photo and settings give the same document, to the byte, wherever and however it runs."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[1] / "fixtures" / "demo.jpg"
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "OPENCV_FOR_THREADS_NUM", "MKL_NUM_THREADS")


def measured(folder, *, threads, hash_seed):
    """What a process of its own measures in a folder, as bytes."""
    folder.mkdir()
    shutil.copy(DEMO, folder / "cloth.jpg")
    environment = dict.fromkeys(THREADS, str(threads)) | {"PYTHONHASHSEED": str(hash_seed)}
    done = subprocess.run(
        [sys.executable, "-m", "plaidcut", "measure", "cloth.jpg", "--json"],
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
