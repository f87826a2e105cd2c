"""Constants that every room shares, each once."""

ZERO_CELSIUS_K = 273.15  # exact by definition

GAS_CONSTANT = 8.314462618  # J/(mol K), exact to these digits (CODATA 2018)

STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m2 K4) (CODATA 2018)

STANDARD_GRAVITY = 9.80665  # m/s2, by definition

Z95 = 1.959963984540054  # half-width of a 95 % interval, in standard deviations
