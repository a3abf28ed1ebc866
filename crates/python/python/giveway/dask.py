"""A study on the workers of a Dask cluster that share a folder with the caller."""

from __future__ import annotations

from . import UsageError, model_version
from . import plan as read_plan
from . import parts as _parts
from ._table import Folder


def study(
    client, plan, folder, set=None, *, base=None, parts=None, threads=1, retries=20, progress=None, csv=True, by_part=False
) -> Folder:
    """Computes the study `plan` in parts and joins them in `folder`, with the bytes of a single process.

    `folder` must mean the same place on every worker. A part whose worker is lost is computed again, at most `retries` times;
    a call that was ended goes on with the parts that are there, and a study that is joined is left as it is. `progress(done, parts)`
    is called after each part.
    `csv` and `by_part` as with `giveway.merge`.
    """
    from distributed import as_completed

    def number():
        from giveway import model_version

        return model_version

    found = client.run(number)
    if not found:
        raise UsageError("the cluster has no workers yet")
    for worker, version in found.items():
        _parts.check(model_version, version, worker)
    if parts is None:
        # Some parts a worker, so that one which is lost costs little.
        runs = read_plan(plan, set, base=base).runs
        parts = max(1, min(runs, 8 * len(found)))
    job = _parts.prepare(plan, folder, parts, set, base=base, csv=csv, by_part=by_part)
    # Never a stored result of an earlier call: what is done is seen in the folder.
    missing = _parts.missing(job)
    futures = client.map(lambda part: _parts.compute(job, part, threads), missing, pure=False, retries=retries)
    try:
        done = parts - len(missing)
        for future in as_completed(futures):
            future.result()
            done += 1
            if progress is not None:
                progress(done, parts)
    finally:
        client.cancel(futures)
    return _parts.finish(job)
