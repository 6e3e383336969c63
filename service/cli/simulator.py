"""The simulated network as a process."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

import click

from service.cli.arguments import ANY_PORT, LIKELIHOOD
from service.core.errors import Refused
from service.gateways.simulator_faults import Fault, Faults
from service.gateways.simulator_server import run
from service.settings import load_settings

JOURNAL: Final = "simulator.jsonl"
_FAULTS: Final[dict[Fault, tuple[str, str]]] = {
    Fault.ANSWER_LOST_AFTER: ("--drop-answers", "takes a text and never answers"),
    Fault.ANSWER_LOST_BEFORE: ("--swallow-texts", "loses a text and never answers"),
    Fault.REFUSED_PACE: ("--refuse-pace", "refuses a text as too fast"),
    Fault.REFUSED_TEMPORARY: ("--refuse-for-now", "refuses a text for now"),
    Fault.REFUSED_PERMANENT: ("--refuse-for-good", "refuses a text for good"),
    Fault.REFUSED_LINK: ("--refuse-link", "refuses the whole link"),
    Fault.SLOW_ANSWER: ("--slow-answers", "holds an answer back"),
    Fault.HANDSET_OFF: ("--phones-off", "finds the phone switched off"),
    Fault.EARLY_RECEIPT: ("--early-receipts", "sends a receipt before the answer"),
    Fault.LATE_RECEIPT: ("--late-receipts", "sends a receipt ten minutes late"),
    Fault.REPEATED_RECEIPT: ("--repeat-receipts", "sends a receipt twice"),
    Fault.BARE_RECEIPT: ("--bare-receipts", "sends a receipt without our reference"),
    Fault.LOST_RECEIPT: ("--drop-receipts", "sends no receipt"),
}


def _fault_options(command: Callable[..., None]) -> Callable[..., None]:
    for fault, (option, what) in reversed(_FAULTS.items()):
        add = click.option(
            option,
            fault.value,
            type=LIKELIHOOD,
            default=0.0,
            metavar="P",
            help=f"How likely the network {what}, from 0 to 1.",
        )
        command = add(command)
    return command


def _faults(likelihoods: Mapping[str, float]) -> Faults:
    # Its times, the other fields of Faults, are no options here.
    return Faults(**{fault.value: likelihoods[fault.value] for fault in Fault})  # type: ignore[arg-type]


@click.command()
@click.option(
    "--port",
    type=ANY_PORT,
    metavar="PORT",
    help="Loopback port; 0 takes a free one. Default: simulator_port.",
)
@click.option(
    "--journal",
    type=click.Path(dir_okay=False, path_type=Path),
    help=f"File that keeps every text taken. Default: {JOURNAL} in data_dir.",
)
@click.option("--seed", default=0, show_default=True, help="Decides which texts the faults befall.")
@_fault_options
def simulator(*, port: int | None, journal: Path | None, seed: int, **likelihoods: float) -> None:
    """Be a mobile network on this machine, until Ctrl-C.

    Phones on it are those of the pages and of trussline phone; nobody real is ever texted. Its first line of
    output is its port. It can be made as unreliable as real networks are.

    Example: trussline simulator --seed 7 --drop-answers 0.05
    """
    settings = load_settings()
    port = settings.simulator_port if port is None else port
    log = journal or settings.data_dir / JOURNAL
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        run(port=port, log_path=log, seed=seed, faults=_faults(likelihoods))
    except OSError as error:
        raise Refused(
            f"The simulated network cannot start on port {port} with the journal {log} ({error.strerror}): "
            "choose another with the setting simulator_port or with --port, or another --journal."
        ) from error
