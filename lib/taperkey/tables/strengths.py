"""Strengths by name: steels, rod grades by diameter, weld metal."""

from __future__ import annotations

from dataclasses import dataclass

from taperkey.checks import require_in, require_positive
from taperkey.tables.reader import read_table

__all__ = [
    "HubMetal",
    "RodGrade",
    "ServiceFactors",
    "Steel",
    "electrode_names",
    "electrode_strength_psi",
    "hub_metal",
    "hub_metal_names",
    "rod_grade",
    "rod_grade_names",
    "service_factors",
    "steel",
    "steel_names",
]

PSI_PER_KSI = 1000.0


@dataclass(frozen=True, kw_only=True)
class Steel:
    """Strengths of a bar or plate steel.

    Attributes
    ----------
    name : str
        Such as "1018 cold-drawn".
    kind : str
        "bar" or "plate".
    yield_psi : float
        Yield strength [psi].
    tensile_psi : float
        Tensile strength [psi].
    source : str
        Where the row comes from.
    status : str
        "found" or "memory".
    """

    name: str
    kind: str
    yield_psi: float
    tensile_psi: float
    source: str
    status: str


@dataclass(frozen=True, kw_only=True)
class RodGrade:
    """Strengths of a rod or bolt grade at one diameter.

    Attributes
    ----------
    name : str
        Such as "ASTM A193 B7".
    diameter_in : float
        The diameter looked up [in].
    proof_psi : float or None
        Proof strength; None where the grade gives none [psi].
    yield_psi : float
        Yield strength [psi].
    tensile_psi : float
        Tensile strength [psi].
    source : str
        Where the row comes from.
    status : str
        "found" or "memory".
    """

    name: str
    diameter_in: float
    proof_psi: float | None
    yield_psi: float
    tensile_psi: float
    source: str
    status: str


def steel_names() -> tuple[str, ...]:
    """Return the names of all steels in the table.

    Returns
    -------
    tuple of str
        Names for `steel`.

    Examples
    --------
    >>> steel_names()[0]
    '1018 cold-drawn'

    Source
    ------
    Table ``steels.csv``.
    """
    return tuple(row["name"] for row in read_table("steels"))


def steel(*, name: str) -> Steel:
    """Return a steel by its name.

    Parameters
    ----------
    name : str
        One of `steel_names`.

    Returns
    -------
    Steel
        Strengths in [psi].

    Raises
    ------
    ValueError
        If the name is not in the table.

    Examples
    --------
    >>> steel(name="1018 cold-drawn").yield_psi
    54000.0

    Source
    ------
    Table ``steels.csv``, which names its own.
    """
    require_in("steel", name, steel_names(), "Look at the color code or the certificate.")
    row = next(row for row in read_table("steels") if row["name"] == name)
    return Steel(
        name=name,
        kind=row["kind"],
        yield_psi=row["yield_ksi"] * PSI_PER_KSI,
        tensile_psi=row["tensile_ksi"] * PSI_PER_KSI,
        source=row["source"],
        status=row["status"],
    )


@dataclass(frozen=True, kw_only=True)
class HubMetal:
    """What a hub's ring is made of.

    Attributes
    ----------
    name : str
        Such as "gray iron class 30".
    kind : str
        "steel", "ductile iron" or "gray iron".
    modulus_psi : float or None
        Modulus of elasticity; None for a steel, which has that of all steels [psi].
    yield_psi : float
        Yield strength; of gray iron, which has none, its tensile strength [psi].
    tensile_psi : float
        Tensile strength [psi].
    source, status : str
        Where the row comes from; "found" or "memory".
    """

    name: str
    kind: str
    modulus_psi: float | None
    yield_psi: float
    tensile_psi: float
    source: str
    status: str

    @property
    def brittle(self) -> bool:
        """Whether it cracks instead of yielding."""
        return self.kind == "gray iron"


def hub_metal_names() -> tuple[str, ...]:
    """Return the names of the metals that hubs are made of: cast irons, then steels.

    Returns
    -------
    tuple of str
        Names for `hub_metal`.

    Examples
    --------
    >>> hub_metal_names()[0]
    'gray iron class 20'

    Source
    ------
    Tables ``cast_irons.csv`` and ``steels.csv``.
    """
    return (*(row["name"] for row in read_table("cast_irons")), *steel_names())


def hub_metal(*, name: str) -> HubMetal:
    """Return a metal of hubs by its name.

    Parameters
    ----------
    name : str
        One of `hub_metal_names`.

    Returns
    -------
    HubMetal
        Strengths and modulus in [psi].

    Raises
    ------
    ValueError
        If the name is in neither table.

    Examples
    --------
    >>> hub_metal(name="gray iron class 30").tensile_psi
    31000.0
    >>> hub_metal(name="A27 65-35 cast steel").brittle
    False

    Source
    ------
    Tables ``cast_irons.csv`` and ``steels.csv``, which name their own.
    """
    require_in("metal of the hub", name, hub_metal_names(), "Look at the drawing or the casting.")
    for row in read_table("cast_irons"):
        if row["name"] == name:
            tensile = row["tensile_ksi"] * PSI_PER_KSI
            yields = row["yield_ksi"]
            return HubMetal(
                name=name,
                kind=row["kind"],
                modulus_psi=row["modulus_mpsi"] * 1e6,
                yield_psi=tensile if yields is None else yields * PSI_PER_KSI,
                tensile_psi=tensile,
                source=row["source"],
                status=row["status"],
            )
    one = steel(name=name)
    return HubMetal(
        name=name,
        kind="steel",
        modulus_psi=None,
        yield_psi=one.yield_psi,
        tensile_psi=one.tensile_psi,
        source=one.source,
        status=one.status,
    )


@dataclass(frozen=True, kw_only=True)
class ServiceFactors:
    """Peak over steady torque for one kind of load.

    Attributes
    ----------
    kind : str
        Such as "heavy shock".
    machines : str
        Machines that load so.
    motor, many_cylinders, few_cylinders : float
        Driven by an electric motor, by an engine of four cylinders or more, of fewer [-].
    source : str
        Where the row comes from.
    """

    kind: str
    machines: str
    motor: float
    many_cylinders: float
    few_cylinders: float
    source: str


def service_factors() -> tuple[ServiceFactors, ...]:
    """Return the service factors, from even load to heavy shock.

    Returns
    -------
    tuple of ServiceFactors
        One row for each kind of load.

    Examples
    --------
    >>> service_factors()[-1].kind, service_factors()[-1].motor
    ('heavy shock', 1.75)

    Source
    ------
    Table ``service_factors.csv``: AGMA 2003; the machines: common practice.
    """
    return tuple(
        ServiceFactors(
            kind=row["kind"],
            machines=row["name"],
            motor=row["electric_motor"],
            many_cylinders=row["engine_many_cylinders"],
            few_cylinders=row["engine_few_cylinders"],
            source=row["source"],
        )
        for row in read_table("service_factors")
    )


def rod_grade_names() -> tuple[str, ...]:
    """Return the names of all rod and bolt grades, each once.

    Returns
    -------
    tuple of str
        Names for `rod_grade`.

    Examples
    --------
    >>> "ASTM A193 B7" in rod_grade_names()
    True

    Source
    ------
    Table ``rod_grades.csv``.
    """
    return tuple(dict.fromkeys(row["name"] for row in read_table("rod_grades")))


def rod_grade(*, name: str, diameter_in: float) -> RodGrade:
    """Return the strengths of a rod grade at a diameter.

    Parameters
    ----------
    name : str
        One of `rod_grade_names`.
    diameter_in : float
        Nominal diameter, above 0 [in].

    Returns
    -------
    RodGrade
        Strengths in [psi] of the row "over ... to and including".

    Raises
    ------
    ValueError
        If the grade is not in the table, or not in that diameter.

    Examples
    --------
    >>> rod_grade(name="SAE J429 grade 5", diameter_in=1.0).proof_psi
    85000.0
    >>> rod_grade(name="SAE J429 grade 5", diameter_in=1.125).proof_psi
    74000.0

    Source
    ------
    Table ``rod_grades.csv``, which names its own.
    """
    require_in(
        "rod grade", name, rod_grade_names(), "A rod without a known grade does not pull a key."
    )
    require_positive("rod diameter", diameter_in, "in")
    rows = [row for row in read_table("rod_grades") if row["name"] == name]
    for row in rows:
        if row["over_in"] < diameter_in <= row["to_in"]:
            proof = row["proof_ksi"]
            return RodGrade(
                name=name,
                diameter_in=diameter_in,
                proof_psi=None if proof is None else proof * PSI_PER_KSI,
                yield_psi=row["yield_ksi"] * PSI_PER_KSI,
                tensile_psi=row["tensile_ksi"] * PSI_PER_KSI,
                source=row["source"],
                status=row["status"],
            )
    raise ValueError(
        f"rod diameter is {diameter_in:.6g} in; it must be over {rows[0]['over_in']:.6g} to and"
        f" including {rows[-1]['to_in']:.6g} in for {name}. Choose another grade or size."
    )


def electrode_names() -> tuple[str, ...]:
    """Return the electrode classes in the table.

    Returns
    -------
    tuple of str
        Names for `electrode_strength_psi`.

    Examples
    --------
    >>> electrode_names()
    ('E60', 'E70', 'E80', 'E90')

    Source
    ------
    Table ``weld_electrodes.csv``.
    """
    return tuple(row["name"] for row in read_table("weld_electrodes"))


def electrode_strength_psi(*, name: str) -> float:
    """Return the least tensile strength of the weld metal of an electrode class.

    Parameters
    ----------
    name : str
        One of `electrode_names`.

    Returns
    -------
    float
        Tensile strength [psi].

    Raises
    ------
    ValueError
        If the class is not in the table.

    Examples
    --------
    >>> electrode_strength_psi(name="E70")
    70000.0

    Source
    ------
    Table ``weld_electrodes.csv``, which names its own.
    """
    require_in("electrode", name, electrode_names(), "Read the class off the rod or its packet.")
    row = next(row for row in read_table("weld_electrodes") if row["name"] == name)
    return float(row["tensile_ksi"] * PSI_PER_KSI)
