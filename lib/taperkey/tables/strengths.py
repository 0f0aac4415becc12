"""Strengths by name: steels, rod grades by diameter, weld metal."""

from __future__ import annotations

from dataclasses import dataclass

from taperkey.checks import require_in, require_positive
from taperkey.tables.reader import read_table

__all__ = [
    "RodGrade",
    "Steel",
    "electrode_names",
    "electrode_strength_psi",
    "rod_grade",
    "rod_grade_names",
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
