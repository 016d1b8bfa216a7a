"""Quick lays, remembered: one page asks for the same lay several times, and the next page again."""

from functools import lru_cache

from projects.calc.lay import Lay, LayRequest, plan_lay


@lru_cache(maxsize=16)
def quick_lay(request: LayRequest) -> Lay:
    """What ``plan_lay`` answers, which is the same for the same request; raises ``LayError`` as it does."""
    return plan_lay(request)
