"""Every answer that a page reads, by where it is: the browser's types are made from this list."""

from __future__ import annotations

ANSWERS: tuple[str, ...] = (
    "cagewright.base.answers:Sentence",
    "cagewright.job.alternatives:AlternativesAnswer",
    "cagewright.job.bench:ProgressRow",
    "cagewright.job.bench:TakenRow",
    "cagewright.job.bench:TickRow",
    "cagewright.job.books:BooksAnswer",
    "cagewright.job.buying:Buying",
    "cagewright.job.cutting:MemberSheet",
    "cagewright.job.draft:DraftAnswer",
    "cagewright.job.drop_runs:DropShown",
    "cagewright.job.figures:Figures",
    "cagewright.job.findings:FindingsAnswer",
    "cagewright.job.folder:PlanCard",
    "cagewright.job.history.effects:EditAnswer",
    "cagewright.job.marks:StepAnswer",
    "cagewright.job.order:OrderAnswer",
    "cagewright.job.pull:PullAnswer",
    "cagewright.job.record:JobsAnswer",
    "cagewright.job.scene.choices:CageChoices",
    "cagewright.job.scene.picks:Apart",
    "cagewright.job.scene.picks:Resting",
    "cagewright.job.scene.types:Scene",
    "cagewright.job.shell:ScanAnswer",
    "cagewright.job.shrink:ShrinkAnswer",
    "cagewright.job.square:SquareAnswer",
    "cagewright.job.strength_runs:PushShown",
    "cagewright.job.strength_types:KnownPush",
    "cagewright.job.studies.answer:AlternativeCage",
    "cagewright.job.studies.answer:MadeAlternative",
    "cagewright.job.studies.answer:Studies",
    "cagewright.job.survey:SurveyAnswer",
)
"""``module:class`` of each; ``scripts/web_types.py`` writes ``web/src/types.d.ts`` from them."""
