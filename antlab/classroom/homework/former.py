"""What the problems were in progress files of format 1, which named them by their place in the lesson.

Kept as it was then: a problem that gets another place, or goes, stays where it stood here.
"""

_PLACES = {
    "01": "capacitor-formula capacitor-pf resistance width drawer",
    "02": "cut-formula cut-cm power-back edge-swr first-cut",
    "03": "reactance-formula reactance-ohms coil-formula heat large-or-small",
    "04": "series-hookup cable-length more-capacitance cable-volts cable-rating",
    "05": "shack-reflection shack-swr eighth-wave half-wave-line tuner",
    "06": "dark-height first-lobe echo field-db low-wire",
    "07": "height-formula height-m short-pole four-heights",
    "08": "flat-hop round-hop layer-height highest-frequency county-net",
    "09": "vee-formula vee-room limit-formula limit-distance between-poles",
    "10": "own-capacitance own-capacitance-pf more-fold more-fold-cm which-first",
}
IDS = {
    f"{lesson}.{place}": f"{lesson}.{name}"
    for lesson, names in _PLACES.items()
    for place, name in enumerate(names.split(), start=1)
}
