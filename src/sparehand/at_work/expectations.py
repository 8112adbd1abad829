"""What is expected of a job that is worked on here: from the shop's earlier jobs, and from what may join it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from sparehand.at_work.procedure_pictures import kept_pictures
from sparehand.at_work.surroundings import Surroundings
from sparehand.job.events import JobOpened
from sparehand.job.experience import Experience
from sparehand.log.memos import MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.joining import Joined
from sparehand.shop.earlier_jobs import shop_experience, shop_lessons
from sparehand.shop.follow_ups import left_open_for
from sparehand.shop.offers import with_offers
from sparehand.shop.shop_belief import inputs_for_job


def expected_of(
    begun: JobOpened, store: SqliteEventStore, surroundings: Surroundings, joined: tuple[Joined, ...] = ()
) -> Experience:
    """What is expected of a job and of what joined it or may join it."""
    kept = shop_lessons(store)
    experience = shop_experience(begun, inputs_for_job(begun, store), kept, surroundings.wrenches)
    pictures = partial(kept_pictures, folder=MemoFolder.beside(store.path), tell=surroundings.view.note)
    experience = with_offers(experience, begun, store, joined, kept, pictures)
    return replace(experience, follow_ups=left_open_for(store, begun.vehicle))
