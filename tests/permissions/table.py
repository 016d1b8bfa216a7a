"""Who may use which address, and how: every address of the studio stands here, or the permission test fails.

A new page: add its name, ``PAGE`` (read), ``FORM`` (read and posted) or ``DEED`` (posted only), who may use
it, and what its address needs from ``world`` in the order of the address.
"""

from dataclasses import dataclass

OPEN, ALL, OWNER = "without a sign-in", "everybody of the studio", "owners only"
PAGE, FORM, DEED = ("GET",), ("GET", "POST"), ("POST",)


ANSWER_JSON = ("bench_facts",)
"""What scripts ask: without a sign-in they are told so, and are led nowhere."""


@dataclass(frozen=True, slots=True)
class Rule:
    who: str
    methods: tuple[str, ...]
    needs: tuple[str, ...] = ()


def _all(methods: tuple[str, ...], *needs: str) -> Rule:
    return Rule(ALL, methods, needs)


def _owner(methods: tuple[str, ...], *needs: str) -> Rule:
    return Rule(OWNER, methods, needs)


RULES = {
    "sign_in": Rule(OPEN, FORM),
    "claim": Rule(OPEN, FORM),
    "join": Rule(OPEN, FORM, ("token",)),
    "see": Rule(OPEN, PAGE, ("share_token",)),
    "see_pdf": Rule(OPEN, PAGE, ("share_token",)),
    "see_photo": Rule(OPEN, PAGE, ("share_token", "photo_key", "photo_size")),
    "sign_out": _all(DEED),
    "account": _all(FORM),
    "account_pin": _all(DEED),
    "account_pin_off": _all(DEED),
    "account_break": _all(DEED),
    "today": _all(PAGE),
    "search": _all(PAGE),
    "deleted": _all(PAGE),
    "help": _all(PAGE),
    "help_page": _all(PAGE, "help"),
    "restore": _all(DEED, "deletion"),

    "people": _owner(PAGE),
    "invite": _owner(DEED),
    "invitation_revoke": _owner(DEED, "invitation"),
    "person": _owner(FORM, "person"),
    "person_off": _owner(DEED, "person"),
    "person_on": _owner(DEED, "person"),
    "person_pin_off": _owner(DEED, "person"),
    "person_password": _owner(DEED, "person"),
    "settings": _owner(FORM),
    "rates": _owner(PAGE),
    "rate": _owner(FORM, "driver"),
    "rate_clear": _owner(DEED, "driver"),
    "hour_rates": _owner(FORM),
    "hour_rate_delete": _owner(DEED, "hour_rate"),
    "start_own": _owner(FORM),
    "backup": _owner(FORM),

    "clients": _all(PAGE),
    "client_new": _all(FORM),
    "client": _all(PAGE, "client"),
    "client_edit": _all(FORM, "client"),
    "client_delete": _owner(DEED, "client"),

    "projects": _all(PAGE),
    "project_new": _all(FORM),
    "project": _all(PAGE, "project"),
    "project_edit": _all(FORM, "project"),
    "project_state": _all(DEED, "project"),
    "project_copy": _all(DEED, "project"),
    "project_delete": _all(DEED, "project"),
    "share": _all(FORM, "project"),
    "share_revoke": _all(DEED, "project", "link"),
    "project_buy": _all(FORM, "project"),
    "need_remove": _all(DEED, "project", "notion"),
    "project_hours": _all(PAGE, "project"),
    "project_export": _owner(FORM, "project"),
    "project_import": _owner(FORM),
    "project_import_check": _owner(FORM, "waiting"),
    "project_settings": _all(DEED, "project"),
    "costs": _owner(PAGE, "project"),
    "other_cost_new": _owner(FORM, "project"),
    "other_cost": _owner(FORM, "project", "other_cost"),
    "other_cost_delete": _owner(DEED, "project", "other_cost"),
    "lay": _all(PAGE, "project", "fabric"),
    "lay_progress": _all(PAGE, "project", "fabric"),
    "lay_width": _all(PAGE, "project", "fabric"),
    "lay_options": _all(DEED, "project", "fabric"),
    "lay_improve": _all(DEED, "project", "fabric"),
    "lay_shelf": _all(DEED, "project", "fabric"),
    "lay_stop": _all(DEED, "project", "fabric"),
    "lay_move": _all(DEED, "project", "fabric"),
    "lay_pin": _all(DEED, "project", "fabric"),
    "lay_unpin": _all(DEED, "project", "fabric"),
    "lay_unpin_all": _all(DEED, "project", "fabric"),
    "lay_accept": _all(DEED, "project", "fabric"),
    "lay_give": _all(DEED, "project", "fabric"),
    "lay_let_go": _all(DEED, "project", "fabric"),
    "lay_table": _all(PAGE, "project", "fabric"),
    "lay_cut_made": _all(DEED, "project", "fabric"),
    "lay_cut_back": _all(DEED, "project", "fabric"),
    "project_photos": _all(FORM, "project"),
    "photos_of": _all(FORM, "photo_kind", "fabric"),
    "photo": _all(FORM, "photo"),
    "photo_delete": _all(DEED, "photo"),
    "photo_file": _all(PAGE, "photo_key", "photo_size"),
    "bench_list": _all(PAGE, "project"),
    "bench": _all(PAGE, "project", "run_key"),
    "bench_facts": _all(FORM, "project", "run_key"),
    "bench_tap": _all(DEED, "project", "run_key"),
    "bench_placing": _all(DEED, "project", "run_key"),
    "bench_time": _all(DEED, "project", "run_key"),
    "steps": _all(PAGE, "project"),
    "step_tick": _all(DEED, "project"),
    "step_skip": _all(DEED, "project"),
    "step_move": _all(DEED, "project"),
    "step_time": _all(DEED, "project"),
    "step_new": _all(FORM, "project"),
    "step_edit": _all(FORM, "project", "step"),
    "step_remove": _all(DEED, "project", "step"),
    "sheet": _all(PAGE, "project"),
    "sheet_pdf": _all(PAGE, "project"),

    "piece_new": _all(FORM, "project"),
    "piece_new_preview": _all(DEED, "project"),
    "piece": _all(PAGE, "piece"),
    "panel_marks": _all(PAGE, "piece"),
    "piece_edit": _all(FORM, "piece"),
    "piece_preview": _all(DEED, "piece"),
    "piece_newest": _all(DEED, "piece"),
    "piece_move": _all(DEED, "piece"),
    "piece_delete": _all(DEED, "piece"),
    "edges": _all(PAGE, "piece"),
    "edge_new": _all(FORM, "piece"),
    "edge_edit": _all(FORM, "piece", "edge"),
    "edge_delete": _all(DEED, "piece", "edge"),
    "panel_cut": _all(DEED, "piece", "panel"),
    "panel_uncut": _all(DEED, "piece", "panel"),

    "cloth": _all(PAGE),
    "fabric_new": _all(FORM),
    "fabric": _all(PAGE, "fabric"),
    "fabric_edit": _all(FORM, "fabric"),
    "fabric_delete": _all(DEED, "fabric"),
    "length_new": _all(FORM, "fabric"),
    "length": _all(PAGE, "length"),
    "length_book": _all(DEED, "length"),
    "length_edit": _all(FORM, "length"),
    "flaw_add": _all(DEED, "length"),
    "flaw_remove": _all(DEED, "length"),
    "length_delete": _all(DEED, "length"),
    "notions": _all(PAGE),
    "notion_new": _all(FORM),
    "notion": _all(PAGE, "notion"),
    "notion_book": _all(DEED, "notion"),
    "notion_edit": _all(FORM, "notion"),
    "notion_delete": _all(DEED, "notion"),

    "compare": _all(PAGE),
    "compare_pdf": _all(PAGE),
    "compare_use": _all(DEED),
    "recipes": _all(PAGE),
    "recipe_export": _all(PAGE, "recipe"),
    "recipe_import": _all(FORM),
    "recipe_new": _all(FORM),
    "recipe_work_out": _all(DEED),
    "recipe": _all(PAGE, "recipe"),
    "recipe_version": _all(PAGE, "recipe", "version"),
    "recipe_save": _all(DEED, "recipe"),
    "recipe_rename": _all(FORM, "recipe"),
    "recipe_delete": _all(DEED, "recipe"),
    "sample_new": _all(FORM, "recipe"),
    "sample": _all(PAGE, "sample"),
    "sample_edit": _all(FORM, "sample"),
    "sample_delete": _all(DEED, "sample"),

    "hours": _all(PAGE),
    "hours_csv": _all(PAGE),
    "fabrics_csv": _all(PAGE),
    "notions_csv": _all(PAGE),
    "log_new": _all(FORM),
    "log_edit": _all(FORM, "log"),
    "log_delete": _all(DEED, "log"),
    "timer_start": _all(DEED),
    "timer_stop": _all(DEED),
    "timer_ask": _all(FORM),
    "timer_gap": _all(FORM),
    "timer_break": _all(DEED),
    "bench_change": _all(FORM, "person"),
    "bench_change_back": _all(DEED),
}
