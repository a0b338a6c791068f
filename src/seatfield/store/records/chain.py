"""Records of the signal chain: devices, links and services."""

from typing import Annotated, Any

from pydantic import ConfigDict, Field, ValidationInfo, field_validator, model_validator

from seatfield.model import Device, Link, LinkKind, Service, Setting
from seatfield.store.records.kinds import MOST_TABLES, Duration, Frequency, Name, Record, Text, one_of, wanted
from seatfield.store.records.shapes import Names, exactly, several
from seatfield.store.records.sound import Conversions, DeviceKindName, Formats, read_format

ONLY = "_only"


class SettingRecord(Record):
    """A setting of a device; for a value ``untouched``, a key ``untouched_only`` lists what passes with it alone."""

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, Any]

    name: Name = Field(description="as its menu prints it")
    values: Annotated[tuple[Name, ...], several(1, MOST_TABLES, "a list of the values on offer")] = Field(
        description="the values on offer"
    )

    @model_validator(mode="after")
    def _only_for_its_values(self) -> "SettingRecord":
        known = {_only_key(value) for value in self.values}
        for key, formats in self.__pydantic_extra__.items():
            if key not in known:
                raise wanted(f"name, values, {', '.join(sorted(known))}", at=(key,))
            if not isinstance(formats, list):
                raise wanted('a list of formats in quotes ["…", "…"]', at=(key,))
            for place, item in enumerate(formats):
                read_format(item, (key, place))
        return self

    def setting(self) -> Setting:
        """Translate."""
        extra = self.__pydantic_extra__
        only = ((value, tuple(extra[_only_key(value)])) for value in self.values if _only_key(value) in extra)
        return Setting(self.name, self.values, tuple(only))


def _only_key(value: str) -> str:
    return value.replace(" ", "_") + ONLY


class DeviceRecord(Record):
    """A device of the signal chain."""

    name: Name = Field(description="what you call it")
    kind: DeviceKindName = Field(
        default="", description="what it is, such as player, television, console, splitter"
    )
    decodes: Formats = Field(default=(), description="formats that it decodes")
    passes: Formats = Field(default=(), description="formats that it hands on untouched")
    converts: Conversions = Field(default=(), description='formats that it turns into others { "…" = "…" }')
    settings: Annotated[tuple[SettingRecord, ...], several(0, MOST_TABLES, "a list of settings")] = Field(
        default=(), description='its settings [ { name = "…", values = ["…", "…"] } ]'
    )
    delay: Duration = Field(default=0.0, description="delay of the sound in s")
    ports: Names = Field(default=(), description="names of its ports")
    checked: Text = Field(default="", description="when this was last looked up, as a date")

    @field_validator("checked", mode="before")
    @classmethod
    def _date_as_text(cls, value: Any, info: ValidationInfo) -> Any:  # noqa: ARG003 - pydantic's signature
        return value.isoformat() if hasattr(value, "isoformat") else value

    def device(self, key: str) -> Device:
        """Translate."""
        settings = tuple(setting.setting() for setting in self.settings)
        return Device(
            self.name, self.kind, self.decodes, self.passes, self.converts, settings, self.delay, self.ports,
            self.checked, key,
        )  # fmt: skip


class LinkRecord(Record):
    """A link from port to port."""

    between: Annotated[tuple[Name, Name], exactly(2, 'two ports ["device.port", "device.port"]')] = Field(
        description='its two ends ["device.port", "device.port"], the source first'
    )
    kind: Annotated[LinkKind, one_of(LinkKind)] = Field(
        description="hdmi, return, enhanced return, optical, …"
    )
    frame_rate: Frequency | None = Field(
        default=None, description="highest IEC 60958 frame rate that both ends do, in Hz"
    )

    def link(self, key: str) -> Link:
        """Translate."""
        return Link(self.between, self.kind, self.frame_rate, key)


class ServiceRecord(Record):
    """A service or a disc."""

    name: Name = Field(description="what you call it")
    on: Names = Field(default=(), description="names of the devices that play it")
    offers: Formats = Field(default=(), description="formats that it offers there")

    def service(self, key: str) -> Service:
        """Translate."""
        return Service(self.name, self.on, self.offers, key)
