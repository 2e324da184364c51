"""Salt index: how strongly a fertiliser draws water from a seed, by weight.

It ranks the draw of salt alone. It knows nothing of ammonia, so urea and DAP harm a seed
more than their index tells; `seed_placement` says how much may lie beside one.
"""

from vrxapp.agronomy.figures import Figure, FigureTable, figure, figures

SALT_INDEX_CAUTION = (
    "The salt index ranks the draw of salt by weight and leaves out ammonia: urea and DAP harm "
    "seed more than their index tells."
)
"""To be shown beside each index."""


def salt_indices() -> tuple[Figure, ...]:
    """Every index there is, sodium nitrate being 100."""
    return figures(FigureTable.SALT_INDEX)


def salt_index(product_key: str) -> Figure:
    """The index of a typical product or compound.

    Parameters
    ----------
    product_key : str
        Product or compound.

    Returns
    -------
    Figure
        Its index by weight, sodium nitrate being 100.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.

    References
    ----------
    .. [1] mortvedt-2001. Another list has 69 for ammonium sulphate and for calcium nitrate.

    Examples
    --------
    >>> salt_index("potassium_chloride").value
    116.2
    """
    return figure(FigureTable.SALT_INDEX, product_key)
