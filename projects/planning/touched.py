"""What people did with the generated steps, asked before there are any: by the keys the steps will have."""

from projects.models import Fabric, Project

from .load import Rows

OVER = ("done", "skipped")


def sample_key(fabric_id: int, pool: str) -> str:
    return f"f{fabric_id}:sample:{pool}:1"


def swatch_key(fabric_id: int) -> str:
    return f"f{fabric_id}:swatch::1"


def prepare_key(fabric_id: int) -> str:
    return f"f{fabric_id}:prepare::1"


def under_key(fabric_id: int, role: str, width: int, length: int, first: int, last: int) -> str:
    """Cutting what lies under quilted panels: told apart by what it is and by the size it is cut in (nm), and
    which ones of that size they are, so that the tick tells how many are cut."""
    return f"f{fabric_id}:under:{role}:{width}x{length}x{first}-{last}"


def strips_key(fabric_id: int, width: int, on_the_bias: bool) -> str:
    """Strips are told apart by their width in nm and whether they are cut on the bias."""
    return f"f{fabric_id}:strips:{width}{'b' if on_the_bias else 's'}:1"


def edge_key(edge_id: int) -> str:
    return f"e{edge_id}:edge::1"


def states_of(rows: Rows) -> dict[str, str]:
    """The state of each generated step that somebody touched, by its key."""
    return {step.key: step.state for step in rows.steps if step.key}


def pools_touched(rows: Rows) -> dict[str, str]:
    """The state of each sample pool whose step somebody touched, by ``fabric:pool``."""
    touched = ((key.split(":"), state) for key, state in states_of(rows).items() if ":sample:" in key)
    return {f"{parts[0][1:]}:{parts[2]}": state for parts, state in touched}


def swatch_wanted(fabric: Fabric, project: Project) -> bool:
    """Whether what the wash takes of a fabric matters and isn't known."""
    return project.washing != "never" and None in (fabric.shrink_along, fabric.shrink_across)


def swatch_open(fabric: Fabric, rows: Rows) -> bool:
    """Whether a swatch has still to be washed: wanted, and its step neither done nor skipped."""
    return swatch_wanted(fabric, rows.project) and states_of(rows).get(swatch_key(fabric.pk)) not in OVER
