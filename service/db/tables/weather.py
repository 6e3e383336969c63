"""The weather of districts, measured or forecast, as it came in.

Nothing is overwritten: each row belongs to the batch it came with, and of several for one day or hour the reading
decides (`service.core.weather_ports`). So a batch is taken back whole by one mark, and what it had replaced holds
again. Figures are whole tenths of the unit in their name.
"""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Integer,
    SmallInteger,
    Table,
    Text,
)

from service.db.tables.meta import Instant, RowId, metadata

# Its number is short, so that a person can name it.
import_batch = Table(
    "import_batch",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("district_id", RowId, ForeignKey("district.id"), nullable=False),
    Column("at", Instant, nullable=False),
    # None where no officer stood behind it: a command at the machine, or another machine.
    Column("officer_id", RowId, ForeignKey("officer.id")),
    Column("way", Text, nullable=False),
    Column("file_name", Text, nullable=False),
    Column("rows", Integer, nullable=False),
    Column("undone_at", Instant),
    Column("undone_by", RowId, ForeignKey("officer.id")),
)

# What was measured was never issued, and what was forecast always was.
_ISSUED = "observed = (issued_at IS NULL)"

weather_day = Table(
    "weather_day",
    metadata,
    Column("district_id", RowId, ForeignKey("district.id"), primary_key=True),
    Column("day", Date, primary_key=True),
    Column("batch_id", RowId, ForeignKey("import_batch.id"), primary_key=True),
    Column("observed", Boolean, nullable=False),
    Column("issued_at", Instant),
    Column("tmin_tenths_c", SmallInteger),
    Column("tmax_tenths_c", SmallInteger),
    Column("rain_tenths_mm", Integer),
    # At 2 m above the ground.
    Column("wind_tenths_m_s", SmallInteger),
    Column("vapour_tenths_hpa", SmallInteger),
    Column("humidity_tenths_percent", SmallInteger),
    Column("radiation_tenths_mj_m2", SmallInteger),
    CheckConstraint(_ISSUED, name="forecast_is_issued"),
    CheckConstraint(
        "coalesce(tmin_tenths_c, tmax_tenths_c, rain_tenths_mm, wind_tenths_m_s, vapour_tenths_hpa, "
        "humidity_tenths_percent, radiation_tenths_mj_m2) IS NOT NULL",
        name="says_something",
    ),
)

weather_hour = Table(
    "weather_hour",
    metadata,
    Column("district_id", RowId, ForeignKey("district.id"), primary_key=True),
    # When the hour begins.
    Column("at", Instant, primary_key=True),
    Column("batch_id", RowId, ForeignKey("import_batch.id"), primary_key=True),
    Column("observed", Boolean, nullable=False),
    Column("issued_at", Instant),
    Column("air_tenths_c", SmallInteger),
    Column("rain_tenths_mm", Integer),
    Column("humidity_tenths_percent", SmallInteger),
    # How many minutes of the hour leaves were wet.
    Column("wet_minutes", SmallInteger),
    CheckConstraint(_ISSUED, name="forecast_is_issued"),
    CheckConstraint(
        "coalesce(air_tenths_c, rain_tenths_mm, humidity_tenths_percent, wet_minutes) IS NOT NULL",
        name="says_something",
    ),
)
