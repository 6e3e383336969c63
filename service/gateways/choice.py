"""Which gateway the settings name, and why a real one may not be used yet."""

from collections.abc import Callable, Mapping
from typing import Final

from flows.catalogue import Catalogue
from flows.promised import Kind
from flows.texts import TEXTS
from service.clock import Clock
from service.core.errors import SettingError
from service.core.gateway import Gateway
from service.core.phone import BadNumber, read_number
from service.gateways.http import HttpGateway
from service.gateways.http_target import read_target
from service.gateways.signing import read_keys
from service.gateways.simulator_link import SimulatorLink
from service.gateways.trial import TrialGateway
from service.settings import Settings

_TRIAL: Final = "or try it on a few phones with trial and trial_numbers"


def simulator(settings: Settings, clock: Clock) -> SimulatorLink:
    """Return the link to the simulated network; it lives in service time."""
    return SimulatorLink(settings.simulator_port, clock=clock.now)


def http(settings: Settings, clock: Clock) -> HttpGateway:
    """Return the gateway that speaks signed HTTP.

    Raises:
        SettingError: its address or its keys are not as they should be.
    """
    target = read_target(
        settings.http_gateway_url,
        allow_plain=settings.http_gateway_allow_plain,
        allow_private=settings.http_gateway_allow_private,
    )
    keys = read_keys(settings.gateway_send_keys)
    return HttpGateway(target, keys=keys, source=settings.service_number, clock=clock.now)


def _http(settings: Settings, clock: Clock) -> Gateway:
    gateway = http(settings, clock)
    return TrialGateway(gateway, _trial_numbers(settings)) if settings.trial else gateway


# A gateway is chosen by its name, here and nowhere else.
GATEWAYS: Final[Mapping[str, Callable[[Settings, Clock], Gateway]]] = {"simulator": simulator, "http": _http}


def make_gateway(settings: Settings, clock: Clock) -> Gateway:
    """Return the gateway that the settings name.

    Raises:
        SettingError: what it needs is not as it should be.
    """
    return GATEWAYS[settings.gateway](settings, clock)


def is_real(settings: Settings) -> bool:
    """Return whether real phones may be reached through the gateway that the settings name."""
    return settings.gateway != "simulator"


def why_not(settings: Settings, catalogue: Catalogue, *, demo_data: bool) -> tuple[str, ...]:
    """Return why the gateway that the settings name may not be used, a sentence each; none if it may."""
    if not is_real(settings):
        return ()
    reasons = {
        "This database holds a demo's invented farmers, whose numbers may be real ones: "
        "set data_dir to a new folder.": settings.demo or demo_data,
        f"No emergency_number is set, which safety texts name: set it, {_TRIAL}.": (
            not settings.emergency_number and not settings.trial
        ),
        f"Safety texts wait for the word of a health authority ({_unapproved(catalogue)}): have them read and take "
        f"their marks out of the catalogues, {_TRIAL}.": bool(_unapproved(catalogue)) and not settings.trial,
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def _unapproved(catalogue: Catalogue) -> str:
    """Return which safety texts still bear the mark, by language."""
    safety = {text_id for text_id, text in TEXTS.items() if text.kind is Kind.FIRST_AID}
    waiting = {
        language: sorted(catalogue.needs_review(language) & safety) for language in catalogue.languages
    }
    return "; ".join(f"{language}: {', '.join(ids)}" for language, ids in waiting.items() if ids)


def _trial_numbers(settings: Settings) -> frozenset[str]:
    try:
        return frozenset(read_number(number, settings.region).e164 for number in settings.trial_numbers)
    except BadNumber as error:
        raise SettingError(f"trial_numbers holds what is no mobile number: {error}") from error
