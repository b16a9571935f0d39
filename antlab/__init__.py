"""antlab: lessons on HF antennas for newly licensed radio operators, and the physics behind them."""

__version__ = "0.1.0"
