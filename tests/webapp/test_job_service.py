"""Jobs: saved whole or not at all, never over somebody else's change, never gone for good."""

from __future__ import annotations

import pytest
from sqlalchemy import func, select

from webapp.models import JobRevision
from webapp.schemas import ranges
from webapp.services import jobs
from webapp.services.errors import FaultyDocument, NotFound, StaleRevision
from webapp.texts import speaking

pytestmark = pytest.mark.usefixtures("in_app")


def revisions(database):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(JobRevision))


def test_a_job_comes_back_as_it_was_stated(job):
    started = jobs.start_job(job)
    assert jobs.get_job(started.id).document == job
    assert (started.revision, started.title, started.deleted_at) == (1, job["title"], None)


@pytest.mark.parametrize(
    "title", ["<script>alert(1)</script>", "'; DROP TABLE jobs; --", "Café 🚐 北 ‮abc", "{{ 7*7 }}"]
)
def test_any_text_is_kept_byte_for_byte(job, title):
    assert jobs.get_job(jobs.start_job({**job, "title": title}).id).document["title"] == title


def test_ids_cannot_be_counted_on(job):
    ids = [jobs.start_job(job).id for _ in range(20)]
    assert len(set(ids)) == 20
    assert all(len(job_id) == 26 for job_id in ids)
    assert ids != sorted(ids)  # 1 chance in 20! to fail by luck


def test_every_fault_is_told_and_nothing_stored(job, database):
    del job["bus"]["low_v"]
    job["surprise"] = 1
    with pytest.raises(FaultyDocument) as trouble:
        jobs.start_job(job)
    assert {fault.pointer for fault in trouble.value.faults} == {"bus/low_v", "surprise"}
    assert revisions(database) == 0


def test_a_job_may_be_begun_without_places_and_loads(job):
    assert jobs.start_job({**job, "places": [], "loads": []}).revision == 1


def test_saving_makes_a_revision_and_keeps_the_one_before(job, database):
    started = jobs.start_job(job)
    saved = jobs.save_job(started.id, 1, {**job, "title": "Second"})
    assert (saved.revision, saved.title) == (2, "Second")
    with database.reading() as session:
        first = session.get_one(JobRevision, (started.id, 1))
    assert job["title"] in first.document


def test_saving_the_same_again_changes_nothing(job, database):
    started = jobs.start_job(job)
    changed = {**job, "title": "Second"}
    jobs.save_job(started.id, 1, changed)
    again = jobs.save_job(started.id, 1, changed)  # the first answer got lost on the way
    assert again.revision == 2
    assert revisions(database) == 2


def test_two_phones_never_overwrite_each_other(job):
    started = jobs.start_job(job)
    jobs.save_job(started.id, 1, {**job, "title": "Theirs"})
    with pytest.raises(StaleRevision) as trouble:
        jobs.save_job(started.id, 1, {**job, "title": "Mine"})
    assert trouble.value.current == 2
    assert jobs.get_job(started.id).title == "Theirs"


def test_a_faulty_save_leaves_the_job_as_it_was(job):
    started = jobs.start_job(job)
    with pytest.raises(FaultyDocument):
        jobs.save_job(started.id, 1, {**job, "title": 5})
    assert jobs.get_job(started.id) == started


def test_a_deleted_job_waits_in_the_bin_and_comes_back(job):
    started = jobs.start_job(job)
    jobs.delete_job(started.id)
    assert jobs.list_jobs() == []
    assert [each.id for each in jobs.deleted_jobs()] == [started.id]
    jobs.restore_job(started.id)
    assert jobs.deleted_jobs() == []
    assert jobs.get_job(started.id).document == job


def test_a_duplicate_stands_by_itself(job):
    started = jobs.start_job(job)
    copied = jobs.duplicate_job(started.id)
    jobs.save_job(copied.id, 1, {**copied.document, "title": "Changed"})
    assert copied.title == f"{job['title']} (copy)"
    assert jobs.get_job(started.id).document == job


def test_a_duplicate_of_the_longest_title_still_fits(job):
    longest = jobs.start_job({**job, "title": "x" * 200}).id
    for language, ending in (("en", " (copy)"), ("de", " (Kopie)")):
        with speaking(language):
            copied = jobs.duplicate_job(longest)
        assert len(copied.title) == ranges.NAME_CHARS
        assert copied.title.endswith(ending)


def test_the_job_changed_last_comes_first(job):
    first, second = jobs.start_job(job), jobs.start_job(job)
    assert [each.id for each in jobs.list_jobs()] == [second.id, first.id]
    jobs.save_job(first.id, 1, {**job, "title": "Touched"})
    assert [each.id for each in jobs.list_jobs()] == [first.id, second.id]


@pytest.mark.parametrize("use", [jobs.get_job, jobs.delete_job, jobs.restore_job, jobs.duplicate_job])
@pytest.mark.parametrize("job_id", ["nobody", "", "1", "' OR 1=1 --"])
def test_an_unknown_job_is_not_found(use, job_id):
    with pytest.raises(NotFound):
        use(job_id)


def test_a_demo_job_is_added_once_and_stays_deleted(job):
    assert jobs.add_demo_job("van", job)
    (demo,) = jobs.list_jobs()
    jobs.delete_job(demo.id)
    assert not jobs.add_demo_job("van", job)
    assert jobs.list_jobs() == []
