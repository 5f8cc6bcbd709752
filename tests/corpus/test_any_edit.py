"""Every reader by property: whatever is cut out of a sound file and put into it, the command ends.

The corpus draws its changes from a list of its own; these are hypothesis's, which reduces a
failing one to the least.
"""

from __future__ import annotations

import os
import signal
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from render.files.overwrite import MANIFEST
from tests.corpus.judging import end_of, original, stop
from tests.corpus.originals import JOB, READERS, Reader, lay

pytestmark = [
    pytest.mark.skipif(os.name == "nt", reason="needs limits of the system"),
    pytest.mark.slow,
]
# Where, how many bytes go, and what comes instead.
EDITS = st.lists(
    st.tuples(
        st.floats(0, 1),
        st.integers(0, 40),
        st.text(max_size=12).map(str.encode) | st.binary(max_size=12),
    ),
    min_size=1,
    max_size=3,
)


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The sound files, and a handler of the signal that ends a case."""
    folder = tmp_path_factory.mktemp("sound")
    here = Path.cwd()
    before = signal.signal(signal.SIGPROF, stop)
    lay(folder)
    yield folder
    signal.signal(signal.SIGPROF, before)
    os.chdir(here)


def edited(data: bytes, edits: list[tuple[float, int, bytes]]) -> bytes:
    for where, gone, put in edits:
        at = round(where * len(data))
        data = data[:at] + put + data[at + gone :]
    return data


@pytest.mark.parametrize("reader", READERS, ids=[reader.name for reader in READERS])
@settings(
    deadline=None,
    max_examples=8,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=st.data())
def test_any_edit_is_read_or_refused(reader: Reader, sound: Path, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(reader.originals))
    changed = edited(original(reader, name, sound), data.draw(EDITS))
    sealed = reader.folder == JOB and name != MANIFEST
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        try:
            end = end_of(reader, name, changed, sound, Path(folder), sealed)
        finally:
            os.chdir(sound)
    # The memory is that of all tests in this process.
    assert [each for each in end.faults if not each.endswith(" MB")] == []
