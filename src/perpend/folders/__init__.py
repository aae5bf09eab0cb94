"""A folder of elevations: in parallel, one failure at a time.

Glossary:
    order: one drawing to be done, and where its files go.
    outcome: what became of an order; small, so that a thousand of them fit in memory.
    fingerprint: hash of all that decides an outcome (drawing, settings, rule book, version, command).
    record: the fingerprints and outcomes of earlier runs, kept in the output folder.
    suspect: an order that was under way when a worker process died.
"""

from perpend.folders.batch_run import BatchOptions, BatchReport, run_batch
from perpend.folders.orders import Order, Outcome, State
from perpend.folders.worker_pool import LocalProcesses, MakeExecutor
