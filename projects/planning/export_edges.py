"""Edges, strips and thread of the Plan as JSON: no row keys, lengths in whole nm."""

from typing import Any

from .plan import Binding, CordPlan, EdgePlan, ThreadPlan


def edge_json(edge: EdgePlan) -> dict[str, Any]:
    return {
        "name": edge.name,
        "finish": edge.finish,
        "length_nm": edge.length,
        "times": edge.times,
        "strip_width_nm": edge.strip_width,
        "strip_nm": edge.strip,
        "fabric": edge.fabric,
        "on_the_bias": edge.on_the_bias,
        "by_hand": edge.by_hand,
        "sewn_nm": edge.sewn,
        "starts": edge.starts,
    }


def binding_json(binding: Binding) -> dict[str, Any]:
    return {
        "fabric": binding.fabric,
        "strip_width_nm": binding.strip_width,
        "on_the_bias": binding.on_the_bias,
        "need_nm": binding.need,
        "blanks": [{"width_nm": blank.width, "length_nm": blank.length} for blank in binding.blanks],
        "strips_nm": list(binding.strips),
        "dropped": binding.dropped,
        "gives_nm": binding.gives,
        "edges": list(binding.edges),
        "problem": binding.problem,
        "cut": binding.cut,
    }


def thread_json(thread: ThreadPlan | None) -> dict[str, Any] | None:
    if thread is None:
        return None
    return {
        "sewn_nm": thread.sewn,
        "starts": thread.starts,
        "stitch": thread.stitch,
        "thread_nm": thread.thread,
        "spools": thread.spools,
        "spool_nm": thread.spool,
        "starting": thread.starting,
        "notion": thread.notion,
    }


def cord_json(cord: CordPlan) -> dict[str, Any]:
    return {"thickness_nm": cord.thickness, "tucks": cord.tucks, "need_nm": cord.need}
