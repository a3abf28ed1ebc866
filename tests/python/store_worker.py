"""What a worker of `test_killed_while_putting.py` does; it imports little, so that it starts in some hundredths of a second."""

import tempfile

import fsspec
import giveway.parts
import s3fs  # noqa: F401 (the store's driver, imported once for all workers)


def work(settings, scratch, job, finishes):
    """Computes all parts that are not there yet, one after the other, or joins them."""
    fsspec.config.conf["s3"] = settings
    tempfile.tempdir = scratch
    if finishes:
        giveway.parts.finish(job)
        return
    for part in range(1, job["parts"] + 1):
        giveway.parts.compute(job, part)
