"""A swap noted: which module was put in, and what it leaves open."""

from maintkit.errors import MaintkitError
from maintkit.records.folding import fold_desk
from maintkit.records.known_words.meanings import SWAP

PUT_IN = "put_in"


def with_module_put_in(row: dict[str, str], ask) -> tuple[dict[str, str], list[str]]:
    """The row of a swap with the module that was put in, and sentences that say what follows of it; any other row as it is.

    Parameters
    ----------
    row : dict of str to str
        Values by column of the work noted.
    ask : callable or None
        Asks for what is missing; None where nobody is to be asked.

    Raises
    ------
    MaintkitError
        Where a serial may be of either module and nobody is to be asked, or nothing says the slot of what was put in.
    """
    if fold_desk(row.get("action", "")) != fold_desk(SWAP):
        return row, []
    if PUT_IN not in row and row.get("serial"):
        row = _told_apart(row, ask)
    if PUT_IN not in row and ask is not None:
        row = row | {PUT_IN: ask(f"{PUT_IN} (the module that sits in the slot now): ").strip()}
    module, ticket = row.get(PUT_IN), row.get("ticket")
    if module and not ticket and not (row.get("desk") and row.get("position")):
        raise MaintkitError(
            "A module is put into a slot: give desk=… and position=…, or the ticket that names them."
        )
    sits = (
        f"From that day on {module} sits there."
        if module
        else f"Who sits there now is not said: {PUT_IN}=… says it."
    )
    still = [f"A swap alone ends no report: note what mends {ticket}, or its outcome."] if ticket else []
    return {name: value for name, value in row.items() if value or name != PUT_IN}, [sits, *still]


def _told_apart(row, ask):
    """The row with its serial as that of the module put in, where it is."""
    if ask is None:
        raise MaintkitError(
            f"serial={row['serial']} does not say whether that module came out or was put in. Give {PUT_IN}=… for the one that sits "
            f"in the slot now ({PUT_IN}= where none is known), and serial=… for the one that came out."
        )
    if ask(f"Was {row['serial']} put in, or did it come out? [in/out] ").strip().lower()[:1] != "i":
        return row
    return {name: value for name, value in row.items() if name != "serial"} | {PUT_IN: row["serial"]}
