"""Ranges hold: what a formula gives outside its range is never quietly returned as good.

One row for each end of a formula's range: just inside it is silent, just outside it is refused (a Slip) or
warned of, as the row says. Each room's tests ask its own rows (rules.py). A formula without a
row is named below, with the reason why any value will do.
"""

import inspect
import warnings

import numpy as np
import pytest
from arrows import PACKAGE, folder_of, modules

import antlab as al
from antlab.antenna import bench, design, feeding, parts, safety, touchstone, yard
from antlab.engine import heights
from antlab.physics import bands, cable, circuit, coil, ground, lengths, sky, trap, wires
from antlab.units import Slip

WARNS, REFUSES = UserWarning, Slip
AVERAGE, TUNED = al.soil("average"), {"inductance_uh": 5, "capacitance_pf": 50}
COIL = {"diameter_mm": 40, "length_mm": 30, "turns": 10}
FLAT = al.FlatTop(height_m=9)
WIRE = al.Dipole(inner_m=0.5, shape=FLAT)  # short, so that it may be asked at any frequency
BARE = al.Dipole(inner_m=10, soil="free space")
TRAP = al.Trap(**TUNED)


def line(**changed):
    return {"cable": "RG-58", "length_m": 20, "f_mhz": 14} | changed


def sweep(f_mhz=(7, 7.1), impedance=(50, 60), z0_ohm=50):
    return touchstone.Sweep(np.array(f_mhz), np.array(impedance), z0_ohm)


def dipole(**changed):
    return al.Dipole(**{"inner_m": 5, "shape": FLAT} | changed)


# formula, argument, how it is asked, just inside, just outside, what it does there, a word of what it says
ROWS = [
    ("circuit.resonance_mhz", "inductance_uh",
     lambda v: circuit.resonance_mhz(**TUNED | {"inductance_uh": v}),
     1e-9, 0, REFUSES, "positive"),
    ("circuit.capacitance_for_pf", "f_mhz", lambda v: circuit.capacitance_for_pf(f_mhz=v, inductance_uh=5),
     0.1, 0.09, REFUSES, "looks like gigahertz"),
    ("circuit.inductance_for_uh", "f_mhz", lambda v: circuit.inductance_for_uh(f_mhz=v, capacitance_pf=5),
     0.1, 0.09, REFUSES, "looks like gigahertz"),
    ("circuit.coil_reactance_ohm", "f_mhz", lambda v: circuit.coil_reactance_ohm(f_mhz=v, inductance_uh=5),
     1000, 1e6, REFUSES, "looks like hertz"),
    ("circuit.capacitor_reactance_ohm", "f_mhz",
     lambda v: circuit.capacitor_reactance_ohm(f_mhz=v, capacitance_pf=5),
     1000, 1001, REFUSES, "kilohertz"),
    ("circuit.bandwidth_mhz", "q", lambda v: circuit.bandwidth_mhz(f_mhz=7, q=v), 5, 4.9, WARNS, "from 5 up"),
    ("circuit.parallel_impedance", "q", lambda v: circuit.parallel_impedance(f_mhz=7, q=v, **TUNED),
     0.01, 0, REFUSES, "q must be"),
    ("circuit.reflection_coefficient", "impedance", circuit.reflection_coefficient, 0, -0.1, REFUSES,
     "zero or more ohms"),
    ("circuit.swr", "impedance", circuit.swr, 1j, -1 + 1j, REFUSES, "zero or more ohms"),
    ("circuit.ring_left", "q", lambda v: circuit.ring_left(turns=1, q=v), 0.51, 0.5, REFUSES, "not swing"),
    ("circuit.ring_left", "turns", lambda v: circuit.ring_left(turns=v, q=5), 0, -0.1, REFUSES, "zero or"),
    ("circuit.swr_of_reflection", "magnitude", circuit.swr_of_reflection, 1, 1.001, REFUSES, "exceed 1"),
    ("circuit.reflection_of_swr", "swr", circuit.reflection_of_swr, 1, 0.999, REFUSES, "swr is 1"),
    ("circuit.return_loss_db", "swr", circuit.return_loss_db, 1, 0.999, REFUSES, "swr is 1"),
    ("circuit.mismatch_loss_db", "swr", circuit.mismatch_loss_db, 1, 0.999, REFUSES, "swr is 1"),
    ("coil.skin_depth_mm", "f_mhz",
     lambda v: coil.skin_depth_mm(f_mhz=v), 0.1, 0.09, REFUSES, "looks like gigahertz"),
    ("coil.skin_effect_ratio", "x", coil.skin_effect_ratio, 0, -0.1, REFUSES, "zero or"),
    ("coil.inner_impedance_ratio", "x", coil.inner_impedance_ratio, 0, -0.1, REFUSES, "zero or"),
    ("wires.Wire", "jacket_mm", lambda v: al.Wire(diameter_mm=1, jacket_mm=v, jacket_permittivity=2), 1.5,
     1.6, WARNS, "up to 4"),
    ("wires.Wire", "jacket_mm", lambda v: al.Wire(diameter_mm=1, jacket_mm=v), 9.5, 9.6, REFUSES, "sold"),
    ("wires.Wire", "jacket_permittivity", lambda v: al.Wire(jacket_permittivity=v), 1, 0.99, REFUSES, "PVC"),
    ("wires.Wire", "jacket_permittivity", lambda v: al.Wire(jacket_permittivity=v), 10, 10.1, REFUSES, "PVC"),
    ("wires.Wire", "f_mhz", al.Wire(diameter_mm=1, metal="copper-clad steel").ohm_per_m, 4.2, 4.1, WARNS,
     "skin depths"),
    ("wires.wire", "wire_diameter_mm", lambda v: wires.wire("PVC 2.5 mm2", wire_diameter_mm=v), 2, 2.1,
     REFUSES, "leave wire_diameter_mm out"),
    ("coil.wire_resistance_ohm_per_m", "wire_diameter_mm",
     lambda v: coil.wire_resistance_ohm_per_m(f_mhz=7, wire_diameter_mm=v), 1e-3, 0, REFUSES, "positive"),
    ("coil.awg_mm", "gauge", coil.awg_mm, 40, 41, REFUSES, "AWG"),
    ("coil.awg_mm", "gauge", coil.awg_mm, -3, -4, REFUSES, "AWG"),
    ("coil.nagaoka", "diameter_over_length", coil.nagaoka, 1e6, 1.1e6, REFUSES, "ring"),
    ("coil.rosa_correction_uh", "turns",
     lambda v: coil.rosa_correction_uh(**COIL | {"turns": v}, wire_mm=1), 1, 0.9, REFUSES, "1 to 10,000"),
    ("coil.rosa_correction_uh", "wire_mm", lambda v: coil.rosa_correction_uh(**COIL, wire_mm=v),
     3, 3.1, REFUSES, "do not fit"),
    ("coil.solenoid_uh", "turns",
     lambda v: coil.solenoid_uh(**COIL | {"length_mm": 1e6, "turns": v}, wire_mm=1),
     10_000, 10_001, REFUSES, "1 to 10,000"),
    ("coil.wheeler_uh", "diameter_mm", lambda v: coil.wheeler_uh(**COIL | {"diameter_mm": v}),
     75, 76, WARNS, "0.4 of its diameter"),
    ("coil.check_turns", "turns", coil.check_turns, 1, 0.99, REFUSES, "1 to 10,000"),
    ("cable.Cable", "velocity_factor",
     lambda v: cable.Cable(name="own", z0_ohm=50, velocity_factor=v, loss_k1_db=1, outer_mm=5, braid_mm=4,
                           max_volts_rms=600), 1, 1.01, REFUSES, "part of 1"),
    *(
        (f"cable.{one.__name__}", "f_mhz", ask, inside, outside, WARNS, "holds from 1 to 450 MHz")
        for one, ask in (
            (cable.loss_db, lambda v: cable.loss_db(**line(f_mhz=v))),
            (cable.line_impedance, lambda v: cable.line_impedance(60, **line(f_mhz=v))),
            (cable.impedance_at_antenna, lambda v: cable.impedance_at_antenna(50, **line(f_mhz=v))),
            (cable.total_loss_db, lambda v: cable.total_loss_db(60, **line(f_mhz=v))),
            (cable.swr_along_line,
             lambda v: cable.swr_along_line(60, cable="RG-58", distance_m=20, f_mhz=v)),
            (cable.antenna_swr, lambda v: cable.antenna_swr(1.01, **line(f_mhz=v))),
            (cable.volts_along_line, lambda v: cable.volts_along_line(60, **line(f_mhz=v), distance_m=20)),
        )
        for inside, outside in ((1, 0.99), (450, 451))
    ),
    ("cable.line_impedance", "f_mhz, of thin cable",
     lambda v: cable.line_impedance(60, **line(cable="RG-174", f_mhz=v)),
     3, 1, WARNS, "no longer a plain 50 ohms"),
    ("cable.volts_along_line", "f_mhz, of thin cable",
     lambda v: cable.volts_along_line(60, **line(cable="RG-174", f_mhz=v), distance_m=20),
     3, 1, WARNS, "no longer a plain 50 ohms"),
    ("cable.impedance_at_antenna", "impedance",
     lambda v: cable.impedance_at_antenna(v, **line()), 50, 2000, REFUSES, "reflect more than it gets"),
    ("cable.antenna_swr", "swr", lambda v: cable.antenna_swr(v, **line()), 5, 9, REFUSES, "no antenna shows"),
    ("bands.Soil", "permittivity", lambda v: al.Soil(permittivity=v, conductivity=0.01), 1, 0.99, REFUSES,
     "at least 1"),
    ("bands.Soil", "permittivity", lambda v: al.Soil(permittivity=v, conductivity=0.01), 100, 101, REFUSES,
     "80 for water"),
    ("bands.Soil", "conductivity", lambda v: al.Soil(permittivity=13, conductivity=v), 10, 10.1, REFUSES,
     "siemens per metre"),
    ("bands.band", "region", lambda v: al.band("40m", v), 3, 4, REFUSES, "ITU region"),
    ("bands.allowed", "region", lambda v: bands.allowed("40m", region=v), 3, 4, REFUSES, "ITU region"),
    ("bands.wanted", "region", lambda v: bands.wanted("40m", region=v), 3, 4, REFUSES, "ITU region"),
    ("bands.segment", "region", lambda v: bands.segment("40m", region=v), 3, 4, REFUSES, "ITU region"),
    ("ground.check_elevation", "elevation_deg", ground.check_elevation, 180, 180.1, REFUSES, "0 to 180"),
    ("ground.reflection_horizontal", "elevation_deg",
     lambda v: ground.reflection_horizontal(elevation_deg=v, f_mhz=7, soil=AVERAGE), 0, -0.1, REFUSES,
     "0 to 180"),
    ("ground.reflection_vertical", "elevation_deg",
     lambda v: ground.reflection_vertical(elevation_deg=v, f_mhz=7, soil=AVERAGE), 180, 181, REFUSES,
     "0 to 180"),
    ("ground.reflections", "elevation_deg",
     lambda v: ground.reflections(elevation_deg=v, f_mhz=7, soil=AVERAGE)[0], 180, 181, REFUSES, "0 to 180"),
    ("ground.pseudo_brewster_deg", "soil", lambda v: ground.pseudo_brewster_deg(f_mhz=7, soil=v),
     AVERAGE, al.PERFECT_GROUND, REFUSES, "real soil"),
    ("ground.penetration_depth_m", "f_mhz", lambda v: ground.penetration_depth_m(f_mhz=v, soil=AVERAGE),
     0.1, 0.09, REFUSES, "looks like gigahertz"),
    ("lengths.half_wave_m", "f_mhz", lengths.half_wave_m, 1000, 1001, REFUSES, "kilohertz"),
    ("lengths.quarter_wave_m", "f_mhz", lengths.quarter_wave_m, 0.1, 0.09, REFUSES, "looks like gigahertz"),
    ("lengths.rule_length_m", "constant_ft", lambda v: lengths.rule_length_m(7, v), 550, 551, REFUSES, "468"),
    ("lengths.rule_length_m", "constant_ft", lambda v: lengths.rule_length_m(7, v), 400, 399, REFUSES, "468"),
    ("lengths.sine_integral", "x", lengths.sine_integral, 0, -0.1, REFUSES, "zero or"),
    ("lengths.cosine_integral", "x", lengths.cosine_integral, 0, -0.1, REFUSES, "zero or"),
    ("lengths.induced_emf_impedance", "wire_diameter_mm",
     lambda v: lengths.induced_emf_impedance(length_m=5, f_mhz=29.9792458, wire_diameter_mm=v),
     2, 2.01, WARNS, "up to 0.0001 wavelength"),
    ("lengths.induced_emf_impedance", "length_m",
     lambda v: lengths.induced_emf_impedance(length_m=v, f_mhz=29.9792458, wire_diameter_mm=1),
     9.2, 9.4, REFUSES, "whole number of wavelengths"),
    ("lengths.mutual_impedance", "spacing_m", lambda v: lengths.mutual_impedance(spacing_m=v, f_mhz=14),
     0, -1, REFUSES, "zero or"),
    ("lengths.collinear_impedance", "spacing_m",
     lambda v: lengths.collinear_impedance(spacing_m=v, f_mhz=29.9792458), 5, 4.9, REFUSES, "overlap"),
    ("lengths.mirror_impedance", "height_m",
     lambda v: lengths.mirror_impedance(height_m=v, f_mhz=29.9792458, vertical=True), 2.5, 2.4, REFUSES,
     "quarter wavelength"),
    ("lengths.directivity", "length_over_wavelength", lengths.directivity, 2, 2.01, REFUSES, "up to 2"),
    ("lengths.beamwidth_deg", "length_over_wavelength", lengths.beamwidth_deg, 1.4, 1.41, REFUSES,
     "up to 1.4"),
    *(
        (f"sky.{one.__name__}", "layer_km", ask, inside, outside, REFUSES, "50 and 1000")
        for one, ask in (
            (sky.hop_km, lambda v: sky.hop_km(30, v)), (sky.secant_factor, lambda v: sky.secant_factor(30,
             v)),
            (sky.elevation_for_km, lambda v: sky.elevation_for_km(500, v)),
            (sky.skip_km, lambda v: sky.skip_km(14, critical_mhz=6, layer_km=v)),
        )
        for inside, outside in ((50, 49), (1000, 1001))
    ),
    ("sky.Sky", "layer_km", lambda v: sky.Sky(critical_mhz=9, layer_km=v), 50, 49, REFUSES, "50 and 1000"),
    ("sky.Sky", "layer_km", lambda v: sky.Sky(critical_mhz=9, layer_km=v), 1000, 1001, REFUSES,
     "50 and 1000"),
    ("sky.hop_km", "elevation_deg", sky.hop_km, 90, 90.1, REFUSES, "0 to 90"),
    ("sky.secant_factor", "elevation_deg", sky.secant_factor, 0, -0.1, REFUSES, "zero or"),
    ("sky.elevation_for_km", "distance_km", sky.elevation_for_km, 3800, 3900, REFUSES, "two or more"),
    ("trap.Trap", "capacitance_pf", lambda v: al.Trap(inductance_uh=5, capacitance_pf=v), 20_000, 21_000,
     REFUSES, "no HF trap"),
    ("trap.Trap", "capacitance_pf", lambda v: al.Trap(inductance_uh=5, capacitance_pf=v), 0.51, 0.5,
     REFUSES, "no HF trap"),
    ("trap.trap_stress", "duty", lambda v: trap.trap_stress(TRAP, f_mhz=7, current_a=1, duty=v), 1, 1.01,
     REFUSES, "0 to 1"),
    ("trap.CoaxTrap", "form_diameter_mm",
     lambda v: trap.CoaxTrap(cable="RG-58", form_diameter_mm=v, turns=5), 19.81, 19.79, REFUSES,
     "too tightly"),
    ("trap.CoaxTrap", "turns", lambda v: trap.CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=v),
     1, 0.9, REFUSES, "1 to 10,000"),
    ("trap.CoilTrap", "pitch_mm",
     lambda v: trap.CoilTrap(capacitance_pf=50, form_diameter_mm=40, wire_mm=2, pitch_mm=v, turns=5),
     2, 1.9, REFUSES, "wire_mm or more"),
    ("trap.design_coax_trap", "f_mhz", lambda v: al.design_coax_trap(f_mhz=v, form_diameter_mm=40),
     0.6, 0.49, REFUSES, "0.5 to 100"),
    ("trap.design_coil_trap", "f_mhz",
     lambda v: al.design_coil_trap(f_mhz=v, capacitance_pf=50, form_diameter_mm=40), 3, 101, REFUSES,
     "0.5 to 100"),
    ("shapes.FlatTop", "height_m", lambda v: al.FlatTop(height_m=v), 1000, 1001, REFUSES, "any support"),
    ("shapes.InvertedVee", "ends_m", lambda v: al.InvertedVee(apex_m=9, ends_m=v), 9, 9.1, REFUSES, "swap"),
    ("dipole.Dipole", "f_mhz over soil", WIRE.impedance, 1.6, 1.5, WARNS, "holds from 1.6 to 58 MHz"),
    ("dipole.Dipole", "f_mhz over soil", WIRE.impedance, 58, 60, WARNS, "holds from 1.6 to 58 MHz"),
    ("dipole.Dipole", "f_mhz over soil", WIRE.impedance, 7, 0.5, WARNS, "holds from 1.6 to 58 MHz"),
    ("dipole.Dipole", "f_mhz over soil", WIRE.swr, 50, 144, WARNS, "holds from 1.6 to 58 MHz"),
    ("dipole.Dipole", "f_mhz, wavelengths", BARE.impedance, 59.9, 60, REFUSES, "longer than 4 wavelengths"),
    ("dipole.Dipole", "height",
     lambda v: dipole(shape=al.FlatTop(height_m=v)), 1, 0.99, WARNS, "from 1 m up"),
    ("dipole.Dipole", "z_m of a field", lambda v: WIRE.fields(7, x_m=0, y_m=1, z_m=v), 0, -0.1, REFUSES,
     "up from the ground"),
    ("dipole.Dipole", "y_m of a field", lambda v: WIRE.fields(7, x_m=0, y_m=v, z_m=9), 0.051, 0.049, WARNS,
     "from 0.05 m off the wire"),
    ("dipole.Dipole", "y_m of a field, wavelengths", lambda v: WIRE.fields(28, x_m=0, y_m=v, z_m=9), 21, 22,
     WARNS, "up to 2 wavelengths"),
    ("dipole.Dipole", "wire_diameter_mm", lambda v: dipole(wire_diameter_mm=v), 100, 101, WARNS, "1/50"),
    ("dipole.Dipole", "wire", lambda v: dipole(wire=al.Wire(diameter_mm=60, jacket_mm=v)), 20, 21, WARNS,
     "1/50"),
    ("dipole.Dipole", "legs of a vee",
     lambda v: dipole(shape=al.InvertedVee(apex_m=8 + v, ends_m=8)), 4.8, 4.9,
     REFUSES, "cannot fall"),
    ("pattern.Pattern", "elevation_deg", dipole().pattern(14).gain_dbi, 180, 180.1, REFUSES, "0 to 180"),
    ("heights.half_wave_gain_dbi", "height_m",
     lambda v: heights.half_wave_gain_dbi(np.array([30.0]), np.array([v]), f_mhz=14, soil=AVERAGE),
     2, 1.9, REFUSES, "2 to 30"),
    ("heights.half_wave_gain_dbi", "height_m",
     lambda v: heights.half_wave_gain_dbi(np.array([30.0]), np.array([v]), f_mhz=14, soil=AVERAGE),
     30, 30.1, REFUSES, "2 to 30"),
    ("heights.half_wave_resistance", "height_m",
     lambda v: heights.half_wave_resistance(np.array([v]), f_mhz=14, soil=AVERAGE),
     30, 30.1, REFUSES, "2 to 30 m"),
    ("heights.half_wave_gain_dbi", "f_mhz",
     lambda v: heights.half_wave_gain_dbi(np.array([30.0]), np.array([9.0]), f_mhz=v, soil=AVERAGE),
     3.5, 3.4, WARNS, "3.5 to 30 MHz"),
    ("bench.trap_from_resonance", "capacitance_pf",
     lambda v: bench.trap_from_resonance(f_mhz=7, capacitance_pf=v), 50, 0, REFUSES, "positive"),
    ("bench.trap_from_two", "lower_mhz",
     lambda v: bench.trap_from_two(f_mhz=7, lower_mhz=v, added_pf=50), 6, 6.99, REFUSES, "not clearly below"),
    ("bench.trap_from_two", "lower_mhz",
     lambda v: bench.trap_from_two(f_mhz=7, lower_mhz=v, added_pf=50), 6, 6.95, WARNS, "% only"),
    ("bench.q_from_width", "width_khz",
     lambda v: bench.q_from_width(f_mhz=7, width_khz=v), 1400, 1410, REFUSES,
     "too low"),
    ("bench.proportional_m", "f_mhz", lambda v: bench.proportional_m(length_m=10, f_mhz=v, aim_mhz=7),
     1000, 7000, REFUSES, "kilohertz"),
    ("design.aim_on", "f_mhz", lambda v: design.aim_on("40m", v), 7.3, 7.31, REFUSES, "outside the 40m band"),
    ("safety.average_power_w", "transmit_fraction",
     lambda v: safety.average_power_w(power_w=100, mode="SSB", transmit_fraction=v), 1, 1.1, REFUSES,
     "0 to 1"),
    ("safety.exposure_limit_mw_cm2", "f_mhz", lambda v: safety.exposure_limit_mw_cm2(f_mhz=v), 0.3, 0.29,
     REFUSES, "0.3 MHz"),
    ("safety.power_density_mw_cm2", "reflection",
     lambda v: safety.power_density_mw_cm2(power_w=1, gain_dbi=2, distance_m=9, reflection=v), 4, 4.1,
     REFUSES,
     "1 .none. to 4"),
    ("safety.near_field_m", "f_mhz", safety.near_field_m, 0.1, 0.09, REFUSES, "looks like gigahertz"),
    ("safety.field_limits", "f_mhz", lambda v: safety.field_limits(f_mhz=v), 0.3, 0.29, REFUSES,
     "0.3 to 300"),
    ("safety.field_limits", "f_mhz", lambda v: safety.field_limits(f_mhz=v), 300, 301, REFUSES,
     "0.3 to 300"),
    ("safety.keep_away", "power_w",
     lambda v: safety.keep_away(WIRE, f_mhz=7, power_w=v), 1e-3, 0, REFUSES, "positive number of watts"),
    ("safety.keep_away", "f_mhz over soil",
     lambda v: safety.keep_away(WIRE, f_mhz=v, power_w=1), 58, 60, WARNS, "1.6 to 58 MHz"),
    ("safety.exposure", "f_mhz",
     lambda v: safety.exposure(f_mhz=v, power_w=1, gain_dbi=2), 0.3, 0.29, REFUSES,
     "0.3 MHz"),
    ("safety.exempt_erp_w", "distance_m",
     lambda v: safety.exempt_erp_w(f_mhz=29.9792458, distance_m=v), 1.6, 1.5, REFUSES, "starts at 1.6 m"),
    ("safety.erp_w", "gain_dbi", lambda v: safety.erp_w(power_w=1, gain_dbi=v), 39, 40, REFUSES, "isotropic"),
    ("safety.trap_verdicts", "watts",
     lambda v: safety.trap_verdicts(None, volts_peak=9, watts=v, power_w=9), 1, 0, REFUSES, "watts"),
    ("safety.licence_verdict", "power_w", lambda v: safety.licence_verdict("40m", v), 1, 0, REFUSES,
     "power_w"),
    ("safety.check_trap_volts", "volts_peak",
     lambda v: safety.check_trap_volts(trap.CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=5),
     volts_peak=v),
     1, 0, REFUSES, "positive"),
    ("yard.Yard", "rope_m", lambda v: yard.Yard(hung="level", heights_m=(9, 9), rope_m=v), 0.5, 0.49, REFUSES,
     "leave 0.5 m"),
    ("yard.Yard", "span_m", lambda v: yard.Yard(hung="level", heights_m=(9, 9), span_m=v), 1.1, 1, REFUSES,
     "no room for a wire"),
    ("yard.Yard", "runs_deg", lambda v: yard.Yard(hung="level", heights_m=(9, 9), runs_deg=v), 360, 361,
     REFUSES, "compass direction"),
    ("yard.compass", "degrees", yard.compass, 0, -1, REFUSES, "compass direction"),
    ("feeding.FeedLine", "length_m", lambda v: feeding.FeedLine(cable="RG-58", length_m=v), 0.1, 0, REFUSES,
     "length of the feed line must be"),
    ("feeding.FeedLine", "length_m", lambda v: feeding.FeedLine(cable="RG-58", length_m=v), 1000, 1001,
     REFUSES, "was it to be 10.01 m"),
    ("parts.check_antennas", "number", parts.check_antennas, 1000, 1001, REFUSES, "1 to 1000"),
    ("touchstone.Sweep", "f_mhz", lambda v: sweep(f_mhz=(7, v)), 7.01, 7, REFUSES, "rise"),
    ("touchstone.Sweep", "impedance", lambda v: sweep(impedance=(50, v)), 0, -1, REFUSES, "zero or more"),
    ("touchstone.write_sweep", "impedance",
     lambda v: touchstone.write_sweep("no such folder/a.s1p", [7, 8], [50, v]), None, -1, REFUSES,
     "zero or more"),
]  # fmt: skip

# no range of its own: why
FREE = {
    "circuit.impedance_of_reflection": "a definition: any reflection has its impedance",
    "bands.Band": "data", "bands.soil": "a name", "cable.cable": "a name", "sky.at": "a name",
    "sky.zone_words": "writes",
    "trap.TrapStress": "a result",
    "waves.WaveTables": "a result", "waves.wave_tables": "warns and refuses by half_wave_resistance",
    "heights.lobe_figures": "reads a table that it was given", "solution.Solution": "a result",
    "images.spectra": "a definition, for the engine",
    "mesh.rule": "for the engine", "mesh.points": "for the engine", "mesh.against_pieces": "for the engine",
    "mesh.against_triangles": "for the engine", "mesh.against_slopes": "for the engine",
    "mesh.cut": "for the engine, of checked lengths", "mesh.mesh_of": "for the engine, of a checked shape",
    "mesh.Mesh": "a result", "moments.Fill": "for the engine, asked by Dipole",
    "images.soil_images": "for the engine: Dipole warns of height and frequency, Soil refuses",
    "moments.solve": "for the engine, asked by Dipole", "dipole.PowerShares": "a result",
    "dipole.shares_of": "of a Solution, asked by Dipole",
    "fields.fields": "for the engine, asked by Dipole", "plan.in_percent": "words",
    "plan.share_words": "words", "design.true_to": "for solvers, of numbers of their own",
    "surroundings.surroundings": "kept, asked by keep_away", "surroundings.Surroundings": "a result",
    "safety.KeepAway": "a result",
    "bench.MeasuredTrap": "a result", "bench.Advice": "a result", "bench.Step": "a result",
    "bench.Trimming": "tells what is wrong as the fault of an Advice: tests/antenna/test_bench.py",
    "design.Aim": "a result of aim", "design.Span": "a result", "design.HeightRow": "a result",
    "design.Design": "a result", "design.design": "refuses by aim, Dipole and Trap: tests/antenna",
    "design.resonant": "for design, of checked frequencies", "design.span_under": "reads a sweep",
    "faults.in_dummy": "reads a sweep",
    "faults.in_line": "reads a Fit", "faults.in_feed": "reads a Fit", "faults.in_traps": "reads a Fit",
    "faults.in_reach": "reads a sweep", "faults.too_far": "writes", "faults.reversal": "writes",
    "fitting.Usual": "a result", "fitting.usual": "no number", "fitting.Fit": "a result",
    "fitting.highest_mhz": "for Trimming, of checked lengths", "fitting.windows": "of checked frequencies",
    "fitting.followed": "reads a sweep", "fitting.to_curves": "for Trimming, of a checked sweep",
    "fitting.to_dips": "for Trimming, of checked frequencies",
    "fitting.lengths_for": "says itself how far off it stays",
    "faults.in_minima": "of checked frequencies",
    "faults.is_near": "a comparison", "plan.both_units": "writes", "plan.in_khz": "writes",
    "plan.turns_words": "writes",
    "plan.Cut": "a result", "plan.Note": "a result", "plan.BandPlan": "a result", "plan.TrapPlan": "a result",
    "plan.Plan": "a result", "plan.check_path": "no number", "plan_making.plan_of": "no number",
    "plan_making.verdicts": "safety.trap_verdicts",
    "plan_making.exposure_of": "safety.keep_away", "plan_making.hanging_of": "no number",
    "parts.joined": "no number",
    "trap.on_a_pipe": "refuses by design_coax_trap", "named_file.place": "writes",
    "named_file.read_named": "reads a file", "named_file.write_named": "writes",
    "design.vertex": "of any three numbers", "design.first_lengths": "for design, of checked frequencies",
    "mending.Wish": "refuses by Yard and design", "mending.Coil": "refuses by design_coil_trap",
    "mending.Fault": "a result", "mending.OnForm": "refuses by design_coax_trap",
    "mending.Figures": "a result", "mending.figures": "of a Design", "mending.Mend": "a result",
    "mending.mends": "tries, and yields what does", "mending.designed": "refuses by design",
    "mending.start": "refuses by design", "mending.wound": "refuses by the trap's recipe",
    "mending.narrow": "of a Design", "mending.may_speak": "of a Design",
    "mending.spoken": "writes", "tape.Tape": "writes", "tape.rounded_up": "a definition",
    "tape.rounded_down": "a definition", "tape.tenths": "a definition",
    "feeding.usual_line": "no number", "feeding.AtShack": "a result", "feeding.Choke": "data",
    "feeding.at_shack": "warns by cable.loss_db", "feeding.choke_for": "no number",
    "feeding.chokes_for": "no number", "hanging.wire_load": "of a checked Wire",
    "hanging.cable_kg_per_m": "a name", "hanging.Hanging": "a result", "hanging.hang": "no number",
    "parts.Part": "a result", "parts.parts_of": "no number", "parts.parts_text": "writes",
    "tools.Tool": "data", "tools.tools_text": "refuses by parts.check_antennas",
    "plan.beside": "no number",
    "safety.cautions_for": "no number", "safety.Exposure": "a result; says itself where it does not hold",
    "safety.VoltsCheck": "a result", "safety.Verdict": "a result",
    "safety.shed_w": "no number", "safety.is_sent": "of a Verdict",
    "safety.worst": "of Verdicts", "touchstone.Dip": "a result", "touchstone.read_sweep": "no number",
    "touchstone.typed_sweep": "no number", "sweep_tables.table_of": "text", "sweep_tables.in_order": "none",
    "sweep_tables.left_out_note": "writes", "own_antenna.Antenna": "refuses by design, Yard, Trap and Wire",
    "antenna_log.Swept": "data", "antenna_log.ReadOff": "data", "antenna_log.Changed": "data",
    "antenna_log.TrapsMeasured": "data", "antenna_log.Undone": "data", "antenna_log.now": "no number",
    "antenna_log.check_date": "text",
    "antenna_log.KeptAdvice": "data", "antenna_log.replayed": "of a Trimming",
    "antenna_log.measured_again": "of a Trimming", "antenna_file.keep_antenna": "writes",
    "antenna_file.antenna_files": "names", "antenna_file.read_antenna": "no number",
    "antenna_json.values_of": "of an Antenna", "antenna_json.antenna_of": "says what is wrong with a file",
    "log_json.line_values": "of a line", "log_json.line_of": "says what is wrong with a file",
    **dict.fromkeys([f"json_fields.{name}" for name in (
        "plain", "text_of", "fields_of", "number_of", "numbers_of", "list_of", "maybe_number", "made",
        "record_of",
    )], "says what is wrong with a field"),
    "trim.trim": "by Antenna", "trim.sweep_files": "names", "trim.page_of": "writes",
    "trim.trap_alone": "refuses by trap_from_two",
    "lawn.Wires": "a result", "lawn.wires_of": "of a Dipole, with lengths and aims of a Trimming",
    "lawn.taken_along": "of an Antenna", "lawn.packed": "of a Trimming", "lawn.mark_of": "of an Antenna",
    "lawn.with_lawn_log": "reads a text: tests/antenna/test_lawn.py",
}  # fmt: skip


def public():
    """Every public function and class of the rooms that compute, as room.name."""
    for module in (name for name in modules(PACKAGE) if folder_of(name) in ("physics", "engine", "antenna")):
        room = __import__(module, fromlist=["*"])
        for name, thing in vars(room).items():
            own = not name.startswith("_") and getattr(thing, "__module__", "") == module
            if own and (inspect.isfunction(inspect.unwrap(thing)) or inspect.isclass(thing)):
                yield f"{module.rpartition('.')[2]}.{name}"


def test_every_formula_is_in_the_table():
    """A new formula states its range here, or why it has none; one that went away leaves no row behind."""
    ranged = {row[0] for row in ROWS}
    assert not ranged & FREE.keys()
    assert set(public()) == ranged | FREE.keys()


def test_a_sweep_at_the_edge_of_a_band_is_silent():
    """160 and 6 metres are inside, and 6 % to either side of each band, as the planner sweeps it."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for edge in (1.8, 54):
            WIRE.impedance(edge * np.linspace(0.94, 1.06, 5))


def test_a_warning_names_the_caller():
    """In a notebook it stands under the cell that asked, however deep in antlab it arose."""
    with pytest.warns(UserWarning, match="holds from") as said:
        cable.total_loss_db(60, **line(f_mhz=900))
    assert {one.filename for one in said} == {__file__}
