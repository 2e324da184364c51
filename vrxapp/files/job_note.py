"""The note for the contractor: one operation, without price and laboratory value."""

import math

from vrxapp import __version__
from vrxapp.ground.exclusions import SETBACK_CAUTION
from vrxapp.ground.ground_points import cautions_for
from vrxapp.ground.guidance import bearing_degree, is_straight
from vrxapp.prescription.mix import mix_cautions, mix_share_percent
from vrxapp.prescription.pipeline import RATE_UNIT, Prescription
from vrxapp.season import Season
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT


def job_note(season: Season, plan: Prescription, *, file_name: str) -> str:
    """What the contractor needs beside the file, as plain text.

    Parameters
    ----------
    season : Season
        The paddock and its strips.
    plan : Prescription
        The plan that the files hold.
    file_name : str
        Base name of the files.
    """
    operation, totals = plan.operation, plan.totals
    product = operation.product
    lines = [
        f"{season.paddock.name}: {operation.name} (revision {operation.revision})",
        "",
        f"Product    {plan.rate_map.product} (N {product.n_percent:g} %, "
        f"P {product.p_percent:g} %, K {product.k_percent:g} %, S {product.s_percent:g} %, "
        "elements, before anything was mixed in)",
        *_mix_lines(plan),
        f"Timing     {operation.timing}",
        f"Machine    {operation.machine.name}, swath {operation.machine.swath_width_m:g} m",
        f"Files      {file_name}; rates in {RATE_UNIT}, field RATE_KGHA; WGS 84",
        f"Total      {totals.product_kg:,.0f} kg = "
        f"{totals.product_kg / KILOGRAMS_PER_TONNE:.2f} t on {totals.spread_ha:.2f} ha",
        "",
        f"{'Zone':<24}{'rate kg/ha':>12}{'ha':>10}{'kg':>12}",
        *_zone_lines(plan),
        "",
        f"Rate 0     check strips {totals.strip_ha:.2f} ha, excluded {totals.excluded_ha:.2f} ha, "
        f"no rate {totals.no_rate_ha:.2f} ha",
        "Outside    Set the rates outside the map and without position to 0 before you start.",
        *_point_lines(season),
        *_guidance_lines(season),
        "Calibrate  Catch and weigh this product before the first load; the map cannot do it.",
        "",
        "Mind",
        *(
            f"- {line}"
            for line in (
                *mix_cautions(operation),
                SETBACK_CAUTION,
                *cautions_for(season.ground_points),
            )
        ),
        "",
        f"Made with vrxapp {__version__}.",
    ]
    return "\n".join(lines) + "\n"


def _point_lines(season: Season) -> list[str]:
    """Gates, powerlines and others, with what was noted of each."""
    lines = [
        f"{point.kind}: {point.name}" + (f" ({point.note})" if point.note else "")
        for point in season.ground_points
    ]
    if not lines:
        return []
    head = "Points     in ground_points.gpx (phone) and ground_points.geojson (map)"
    return [head, *(f"           {line}" for line in lines)]


def _guidance_lines(season: Season) -> list[str]:
    """The lines to drive along, with what is known of their spacings."""
    if not season.guidance:
        return []
    lines = ["Guidance   in guidance_lines.geojson; bearings from grid north"]
    for line in season.guidance:
        told = [f"{line.name}: {line.machine or 'any machine'}"]
        told.append(f"{bearing_degree(line):.1f}°" if is_straight(line) else "curve")
        if not math.isnan(line.swath_m):
            told.append(f"swath {line.swath_m:g} m")
        if not math.isnan(line.wheel_track_m):
            told.append(f"wheel track {line.wheel_track_m:g} m")
        lines.append(f"           {', '.join(told)}")
    return lines


def _mix_lines(plan: Prescription) -> list[str]:
    """How the mix is made, and that the rates are of the mix."""
    humate, product = plan.operation.humate, plan.operation.product
    if humate is None:
        return []
    share = mix_share_percent(plan.product_kg_ha, plan.humate_kg_ha)
    how = _zone_mix_lines(plan) if math.isnan(share) else _one_mix_lines(plan, share)
    return [
        *how,
        f"In all     {plan.totals.product_kg - plan.totals.humate_kg:,.0f} kg {product.name} and "
        f"{plan.totals.humate_kg:,.0f} kg {humate.product.name}",
    ]


def _one_mix_lines(plan: Prescription, share_percent: float) -> list[str]:
    """One mix for the whole paddock."""
    humate, product = plan.operation.humate, plan.operation.product
    if humate is None or share_percent == 0:
        return []
    per_tonne_kg = share_percent / PERCENT * KILOGRAMS_PER_TONNE
    return [
        f"Mix        {per_tonne_kg:.4g} kg {humate.product.name} to each tonne of {product.name} "
        f"({share_percent:.3g} % of the fertiliser, not of the mix)",
        f"Set rate   the rates are of the mix: {100.0 + share_percent:.4g} kg carry 100 kg "
        f"{product.name}. Calibrate with the mix itself",
    ]


def _zone_mix_lines(plan: Prescription) -> list[str]:
    """Two bins, or a mix for each zone: no one mix holds what the zones get."""
    humate, product = plan.operation.humate, plan.operation.product
    if humate is None:
        return []
    lines = [
        f"Mix        {humate.product.name} differs by zone: meter it from a bin of its own, or "
        "mix for each zone",
        f"Set rate   the rates are of {product.name} and {humate.product.name} together",
    ]
    for name, fertiliser, dose in zip(
        plan.zone_names, plan.product_kg_ha, plan.humate_kg_ha, strict=True
    ):
        if fertiliser > 0:
            lines.append(
                f"           {name}: {fertiliser:.1f} + {dose:.1f} kg/ha, "
                f"{KILOGRAMS_PER_TONNE * dose / fertiliser:.0f} kg to each tonne"
            )
    return lines


def _zone_lines(plan: Prescription) -> list[str]:
    """One line a zone."""
    lines = []
    for row, name in enumerate(plan.zone_names):
        rate = "none" if plan.reasons[row] else f"{plan.rates_kg_ha[row]:g}"
        hectares, kilograms = plan.totals.zone_area_ha[row], plan.totals.zone_product_kg[row]
        lines.append(f"{name:<24}{rate:>12}{hectares:>10.2f}{kilograms:>12,.0f}")
    return lines
