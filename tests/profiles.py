"""How examples are drawn, for `--hypothesis-profile`."""

from __future__ import annotations

from hypothesis import Phase, settings

settings.register_profile(  # the same verdict each time
    "gate", deadline=None, derandomize=True, max_examples=40
)
settings.register_profile("explore", deadline=None, max_examples=1000, print_blob=True)
settings.register_profile(  # for `tests.mutants`: that it fails is enough, not on how little
    "mutants",
    deadline=None,
    derandomize=True,
    database=None,
    phases=(Phase.explicit, Phase.generate),
)
settings.load_profile("gate")  # --hypothesis-profile explore takes its place
