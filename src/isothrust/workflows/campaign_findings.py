"""What the runs of a campaign show together, joined to what each shows by itself.

Such findings change with any run of the campaign. They are kept in derived/ beside the runs, under a hash of what they
rest on, and a run's own file stays free of them: nothing of it is written again because another run came in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from isothrust.book.campaign_findings import CampaignFindings, read_campaign_findings, write_campaign_findings
from isothrust.book.keys import results_key
from isothrust.records.book import Book
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.checks.campaign.catalogue import examine_campaign, names_of_checks
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence, Twin
from isothrust.reduction.method import METHOD_VERSION
from isothrust.workflows.runs import RunName

__all__ = ["Member", "campaign_evidence", "joined", "joined_as_stored", "with_findings"]


@dataclass(frozen=True, slots=True)
class Member:
    """A reduced run with the hash of what it rests on."""

    reduced: ReducedRun
    key: str


def joined(
    book: Book, members: Mapping[RunName, Member], jobs: Mapping[RunName, RunJob], *, store: bool
) -> dict[RunName, ReducedRun]:
    """Return the members, each with what its campaign's runs show of it together.

    Parameters
    ----------
    book
        The book.
    members
        Reduced runs, with the findings of their own only.
    jobs
        Every run of the book, its files hashed.
    store
        Whether what is computed is kept in derived/ (by the holder of the book's lock only).
    """
    known = read_campaign_findings(book.root)
    twins = _twins(jobs)
    found: dict[str, CampaignFindings] = {}
    for campaign in book.campaigns:
        own = {run: member for (of, run), member in members.items() if of == campaign}
        evidence = campaign_evidence(campaign, (member.reduced for member in own.values()), jobs, twins)
        key = _key(evidence, own)
        before = known.get(campaign)
        if before is not None and before.key == key:
            found[campaign] = before
        else:
            found[campaign] = CampaignFindings(key, tuple(examine_campaign(evidence)))
    if store and found != known:
        write_campaign_findings(book.root, found)
    return {
        name: with_findings(member.reduced, found[name[0]].findings) if name[0] in found else member.reduced
        for name, member in members.items()
    }


def joined_as_stored(book: Book, runs: Iterable[ReducedRun]) -> list[ReducedRun]:
    """Return runs of the book as stored, each with what its campaign showed of it when `reduce` last looked."""
    known = read_campaign_findings(book.root)
    return [with_findings(run, known[run.campaign].findings if run.campaign in known else ()) for run in runs]


def with_findings(run: ReducedRun, findings: Iterable[Finding]) -> ReducedRun:
    """Return a run with those of the findings that are its own, behind those that it has."""
    own = tuple(finding for finding in findings if finding.run == run.run)
    return replace(run, findings=(*run.findings, *own)) if own else run


def campaign_evidence(
    campaign: str,
    runs: Iterable[ReducedRun],
    jobs: Mapping[RunName, RunJob],
    twins: Mapping[str, tuple[Twin, ...]] | None = None,
) -> CampaignEvidence:
    """Return what the checks of a campaign look at."""
    together = tuple(runs)
    own = {run.run: jobs[campaign, run.run] for run in together if (campaign, run.run) in jobs}
    hashes = {run: {kind: digest for kind, digest in job.hashes.items() if digest} for run, job in own.items()}
    there = {digest for digests in hashes.values() for digest in digests.values()}
    everywhere = _twins(jobs) if twins is None else twins
    return CampaignEvidence(
        campaign=campaign,
        runs=together,
        designs={job.design.name: job.design for job in own.values() if job.design.name},
        hashes=hashes,
        files={run: dict(job.run.files) for run, job in own.items()},
        twins={digest: found for digest, found in everywhere.items() if digest in there},
    )


def _twins(jobs: Mapping[RunName, RunJob]) -> dict[str, tuple[Twin, ...]]:
    """Return by hash the places of files that stand more than once in the book."""
    places: dict[str, list[Twin]] = {}
    for (campaign, run), job in jobs.items():
        for kind, digest in job.hashes.items():
            if digest:
                places.setdefault(digest, []).append(Twin(campaign, run, kind, job.run.files[kind]))
    return {digest: tuple(found) for digest, found in places.items() if len(found) > 1}


def _key(evidence: CampaignEvidence, members: Mapping[str, Member]) -> str:
    """Return the hash of what a campaign's findings rest on; a run's own key covers its row, rig, design and files."""
    return results_key(
        {
            "method": METHOD_VERSION,
            "checks": names_of_checks(),
            "runs": [
                (name, member.key, [finding.code for finding in member.reduced.findings])
                for name, member in members.items()
            ],
            "twins": evidence.twins,
        }
    )
