"""What printed examples in inches and pounds are in our units: inch and pound of 1959, standard gravity; exact."""

INCH_MM = 25.4
FOOT_MM = 12 * INCH_MM
LBF_N = 0.45359237 * 9.80665
PSI_MPA = LBF_N / INCH_MM**2
