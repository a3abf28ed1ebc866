"""Tables that pandas, polars and pyarrow read by the C interfaces of Arrow."""

from __future__ import annotations

import os

from . import _giveway


class Table:
    """A table in memory. `pandas.DataFrame.from_arrow(t)`, `polars.DataFrame(t)` and `pyarrow.table(t)` read it."""

    def __init__(self, capsule) -> None:
        self._capsule = capsule

    def __len__(self) -> int:
        return _giveway.rows(self._capsule)

    def __arrow_c_array__(self, requested_schema=None):
        return _giveway.array(self._capsule)

    def __arrow_c_stream__(self, requested_schema=None):
        return _giveway.stream(self._capsule)


class Folder:
    """The table of a closed study in a folder, read block by block: it need not fit into memory."""

    def __init__(self, folder) -> None:
        self.path = os.fspath(folder)

    def __arrow_c_stream__(self, requested_schema=None):
        return _giveway.stream_of_folder(self.path)
