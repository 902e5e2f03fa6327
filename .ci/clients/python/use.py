"""Uses the generated client: lists the grands that the workshop owns."""

import os

from bentside_client import AuthenticatedClient
from bentside_client.api.buying import list_instruments
from bentside_client.models import InstrumentPage, Kind, Ownership


def list_grands(url: str, token: str) -> None:
    with AuthenticatedClient(base_url=url, token=token) as client:
        page = list_instruments.sync(client=client, kind=Kind.GRAND, owner=Ownership.STOCK)
    if not isinstance(page, InstrumentPage):
        raise SystemExit(f"the service answered {page}")
    for i in page.items:
        print(f"{i.maker}, {i.size_mm} mm, {i.state}")


list_grands(os.environ["BENTSIDE_URL"], os.environ["BENTSIDE_TOKEN"])
