"""Every text there is: which values it is given and how long it may become.

A catalogue that lacks one of these, or holds another, fails the lint; so does a text that outgrows its parts
when each placeholder holds its longest filling.
"""

from collections.abc import Mapping
from typing import Final

from flows.collection_texts import COLLECTION_TEXTS
from flows.first_aid_texts import FIRST_AID_TEXTS
from flows.keeping_texts import KEEPING_TEXTS
from flows.money_texts import MONEY_TEXTS
from flows.paper_texts import PAPER_TEXTS
from flows.placeholders import FULL_DATE
from flows.promised import Filling, Kind, Longest, Rule, Text
from flows.quiet_texts import QUIET_TEXTS
from flows.spray_texts import SPRAY_TEXTS
from flows.vessel_texts import VESSEL_TEXTS
from flows.water_texts import WATER_TEXTS

_LONGEST_LABEL: Final = 24
_LONGEST_WEEKDAY: Final = 5
_WITH_YEAR: Final[Mapping[str, Filling]] = {"date": FULL_DATE}
# As many jobs as fit are put into a week's text; three always do.
_THREE_JOBS: Final[Mapping[str, Filling]] = {"jobs": Longest(ids=".label", most=3)}
_WEEKS_LEFT: Final[Mapping[str, Filling]] = {"n": "3"}

_JOINING: Final[dict[str, Text]] = {
    "join_ask_language": Text(
        values="svc invitations",
        waived={Rule.TRANSLATED: "asked before the language is known, so all of them stand in it"},
    ),
    "join_invitation": Text(values="place language", kind=Kind.WORDS, at_most=60),
    "join_ask_name_first": Text(values="svc"),
    "join_ask_name": Text(),
    "join_ask_plants": Text(),
    "join_plants_again": Text(),
    "join_ask_date": Text(),
    "join_date_again": Text(),
    "join_date_too_old": Text(values="date", longest=_WITH_YEAR),
    "join_date_too_far": Text(values="date", longest=_WITH_YEAR),
    "join_month_middle": Text(values="date", longest=_WITH_YEAR),
    "join_which_date": Text(values="date_1 date_2"),
    "join_ask_district": Text(values="districts", parts=2),
    "join_district_again": Text(values="districts", parts=2),
    "welcome_consent": Text(values="name svc"),
    "welcome_back_consent": Text(values="name svc"),
    "welcome_paper": Text(values="name svc"),
    "joined": Text(values="name n date", longest=_WITH_YEAR),
    "joined_ahead": Text(values="name n date", longest=_WITH_YEAR),
    "declined": Text(),
    "consent_unclear": Text(),
    "already_joined": Text(),
}

_HARVESTS: Final[dict[str, Text]] = {
    "harvest_noted": Text(values="name kg date total date_first kg_last"),
    "harvest_noted_first": Text(values="name kg date"),
    "harvest_noted_total": Text(values="name kg date total date_first"),
    "harvest_noted_two": Text(values="name kg_1 day_1 kg_2 day_2 total"),
    "harvest_one_by_one": Text(),
    "harvest_no_day": Text(),
    "correct_none": Text(),
    "ask_kilos": Text(),
    "bare_weight": Text(values="kg"),
    "unusual_kg": Text(values="kg n"),
    "unusual_kg_slip": Text(values="kg n kg_1 kg_2"),
    "unusual_kg_slip_one": Text(values="kg n kg_1"),
    "which_kg": Text(values="kg_1 kg_2"),
    "zero_kg": Text(values="date"),
    "zero_noted": Text(values="date"),
    "harvest_choose": Text(),
    "harvest_dropped": Text(),
    "harvest_again": Text(values="kg_old kg kg_sum date"),
    "choose_1_2_3": Text(),
    "harvest_left": Text(),
    "harvest_future": Text(),
    "harvest_old": Text(),
    "total": Text(values="name total date_first year_total"),
    "total_none": Text(values="name"),
}

# A list of answers; the number is what is sent back.
_ANSWERS: Final = {
    Rule.SENSES: "a farmer who sends the word for help instead of the number gets help as well"
}

_JOBS: Final[dict[str, Text]] = {
    "week": Text(values="name jobs", longest=_THREE_JOBS),
    "week_more": Text(values="name jobs", longest=_THREE_JOBS),
    "week_today": Text(values="name jobs", longest=_THREE_JOBS),
    "week_today_more": Text(values="name jobs", longest=_THREE_JOBS),
    "jobs_list": Text(values="jobs task", parts=2),
    "jobs_list_held": Text(values="jobs date_free", parts=2),
    "jobs_none": Text(),
    "jobs_none_held": Text(values="date_free"),
    "jobs_count": Text(values="n", kind=Kind.WORDS, at_most=_LONGEST_LABEL),
    "done_noted": Text(values="name job"),
    "done_noted_open": Text(values="job jobs", parts=2),
    "done_all_noted": Text(values="jobs", parts=2),
    "done_which": Text(values="jobs", parts=2),
    "done_none": Text(),
    "done_already": Text(),
    "undone_harvest": Text(values="kg date total"),
    "undone_harvest_of": Text(values="name kg date total"),
    "undone_job": Text(values="job"),
    "undone_job_of": Text(values="name job"),
    "undo_none": Text(),
    "scout_ask": Text(),
    "scout_noted_clear": Text(),
    "scout_noted_trouble": Text(values="what"),
    "look_more": Text(kind=Kind.WORDS, values="what", at_most=120),
    "finding.mites": Text(kind=Kind.WORDS, at_most=32),
    "finding.slugs": Text(kind=Kind.WORDS, at_most=32),
    "finding.grey_mould": Text(kind=Kind.WORDS, at_most=32),
    "finding.flies": Text(kind=Kind.WORDS, at_most=32),
    "finding.clear": Text(kind=Kind.WORDS, at_most=32),
    "flowers_stay_noted": Text(),
    "count_ask": Text(),
    "count_sure": Text(values="n before"),
    "count_noted": Text(values="n"),
    "count_kept": Text(values="n"),
    "nudge": Text(values="name job", waived=_ANSWERS),
    "not_yet_noted": Text(values="job task"),
    "not_needed_noted": Text(values="job"),
    "job_help": Text(values="job code", waived=_ANSWERS),
}

_REST: Final[dict[str, Text]] = {
    "for_whom": Text(values="people", parts=2),
    "for_whom_again": Text(values="people", parts=2),
    "stop_or_undo": Text(),
    "stop_sure": Text(),
    "texts_go_on": Text(),
    "stopped": Text(),
    "stopped_hint": Text(),
    "help": Text(),
    "help_stranger": Text(),
    "greeted": Text(),
    "thanked": Text(),
    "question_noted": Text(values="code"),
    "question_noted_by": Text(values="code date"),
    "question_answer": Text(
        values="officer svc words", parts=3, waived={Rule.TRANSLATED: "the words are the officer's own"}
    ),
    "ask_what": Text(),
    "not_understood": Text(values="text"),
    "not_understood_officer": Text(),
    "follows_noted": Text(),
    "too_many_replies": Text(),
    "ussd_not_yet": Text(values="number"),
}

_WISHES: Final[dict[str, Text]] = {
    "help_more": Text(),
    "alert_noted": Text(values="name"),
    "alert_help": Text(waived=_ANSWERS),
    "alert_unclear": Text(waived=_ANSWERS),
    "alerts_off": Text(),
    "alerts_on": Text(),
    "language_ask": Text(values="languages"),
    "language_set": Text(),
    "days_ask": Text(values="day days"),
    "text_day_ask": Text(values="week"),
    "pick_days_ask": Text(values="week"),
    "days_set": Text(values="day days"),
    "paused": Text(values="date"),
    "pause_stands": Text(),
    "resumed": Text(),
    "who": Text(values="svc date"),
    "who_by_officer": Text(values="svc officer date"),
    "who_stranger": Text(values="svc"),
    "stranger_report": Text(),
    "stranger_sprayed": Text(),
    "stranger_wish": Text(),
    "stranger_question": Text(values="code"),
    "details_ask": Text(values="name n date", longest=_WITH_YEAR),
    "name_set": Text(values="name"),
    "plants_set": Text(values="n"),
    "date_with_year": Text(),
    "date_sure": Text(values="date age", longest=_WITH_YEAR),
    "date_sure_ahead": Text(values="date", longest=_WITH_YEAR),
    "date_set": Text(values="date", longest=_WITH_YEAR),
    "date_kept": Text(values="date", longest=_WITH_YEAR),
    "records_ask": Text(),
    "records_shown": Text(values="name district n date total", longest=_WITH_YEAR, parts=2),
    "erase_ask": Text(),
    "erased": Text(),
    "kept": Text(),
    "wrong_number_ask": Text(),
    "wrong_number_noted": Text(),
    "wrong_number_kept": Text(),
}

# A gauge holds at most 300 mm, told to the tenth.
# What officers read on their own phones.
_OFFICERS: Final[dict[str, Text]] = {
    "officer_help": Text(),
    "officer_counts": Text(values="date farmers asked questions kg"),
    "officer_offer": Text(values="n district words", parts=3),
    "officer_nobody": Text(values="district"),
    "alert_range.frost": Text(values="lowest highest"),
    "alert_range.hail": Text(values="lowest highest"),
    "alert_range.rain": Text(values="lowest highest"),
    "officer_unclear": Text(),
    "officer_dropped": Text(),
    "officer_sent": Text(values="n district"),
    "officer_invited": Text(values="name"),
    "officer_refused": Text(values="words", parts=3),
}

_COUNTING: Final = {Rule.SENSES: "counting is the very thing the command reports"}

# The values of a job's full text, by the id of its task in the crop calendar.
_TASKS: Final[dict[str, Text]] = {
    "land": Text(values="task"),
    "lime": Text(values="task"),
    "beds": Text(values="task"),
    "plants_in": Text(values="task"),
    "mulch_down": Text(values="task"),
    "crown_check": Text(values="task"),
    "water_young": Text(values="task"),
    "gaps": Text(values="task"),
    "flowers_off": Text(values="name task"),
    "flowers_stay": Text(values="name"),
    "scout": Text(),
    "weeds": Text(values="task"),
    "water": Text(values="task"),
    "runners": Text(values="task"),
    "old_leaves": Text(values="task"),
    "mulch": Text(values="task"),
    "compost": Text(values="amount task", waived={Rule.SENSES: "fresh dung is named only to be left out"}),
    "first_fruit": Text(values="name date_from date_to"),
    "picking": Text(),
    "recount": Text(waived=_COUNTING),
    "order_plants": Text(values="seedlings task"),
    "renew": Text(values="task", waived={Rule.SAFETY: "it warns against burning plastic"}),
}

_VARIANTS: Final[dict[str, Text]] = {
    "task.flowers_off_last.label": Text(
        values="n", kind=Kind.LABEL, at_most=_LONGEST_LABEL, longest=_WEEKS_LEFT
    ),
    "task.picking.label": Text(
        kind=Kind.LABEL,
        at_most=_LONGEST_LABEL,
        waived={Rule.SENSES: "picking is the very thing the command reports"},
    ),
    "task.recount.label": Text(kind=Kind.LABEL, at_most=_LONGEST_LABEL, waived=_COUNTING),
    "task.flowers_off_last.text": Text(values="name n task", longest=_WEEKS_LEFT),
    "task.mulch_plastic.text": Text(values="task"),
    "task.mulch_none.text": Text(values="task"),
}

# What officers send to whole districts. Own words may take three parts, see service.use_cases.alerts.writing.
_ALERTS: Final[dict[str, Text]] = {
    "alert.frost": Text(values="officer district date temp", waived=_ANSWERS),
    "alert.frost_now": Text(values="officer district temp", waived=_ANSWERS),
    "alert.hail": Text(values="officer district date chance", waived=_ANSWERS),
    "alert.rain": Text(values="officer district date mm", waived=_ANSWERS),
    "alert.free": Text(
        values="officer district words", parts=3, waived={Rule.TRANSLATED: "the words are the officer's own"}
    ),
    "alert.free_ask": Text(values="officer district words", parts=3, waived=_ANSWERS),
}

TEXTS: Final[dict[str, Text]] = {
    **_ALERTS,
    **_JOINING,
    **_HARVESTS,
    **SPRAY_TEXTS,
    **_JOBS,
    **_REST,
    **FIRST_AID_TEXTS,
    **_WISHES,
    **WATER_TEXTS,
    **VESSEL_TEXTS,
    **KEEPING_TEXTS,
    **MONEY_TEXTS,
    **COLLECTION_TEXTS,
    **QUIET_TEXTS,
    **_OFFICERS,
    **{f"task.{task}.label": Text(kind=Kind.LABEL, at_most=_LONGEST_LABEL) for task in _TASKS},
    **{f"task.{task}.text": text for task, text in _TASKS.items()},
    **_VARIANTS,
    **PAPER_TEXTS,
    **{f"weekday.{day}": Text(kind=Kind.WORDS, at_most=_LONGEST_WEEKDAY) for day in range(7)},
}
