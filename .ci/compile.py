"""Compiles the model's kernels once, so that the processes of a test run do not each do it."""

from paryield.model.density import Density
from paryield.model.design import build_observations
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec, make_club

spec = ModelSpec()
density = Density(build_observations(make_club(ClubSpec(golfers=3, weeks=26, seed=1)).tables, spec), spec)
density(density.start)
