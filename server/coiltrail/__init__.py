from .core import contractions
from .fast_contractions import FastMachine

contractions.use(FastMachine)
