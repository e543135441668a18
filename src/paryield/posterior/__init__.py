"""What a fit contains, saved and loaded with fingerprints."""

from paryield.posterior.contents import Posterior
from paryield.posterior.store import from_bytes, to_bytes

__all__ = ["Posterior", "from_bytes", "to_bytes"]
