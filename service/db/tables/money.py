"""What farmers have told of money, and the prices that officers were told at markets.

Money is a whole number of the smallest money of its currency. The currency stands in each row: a programme that takes
another one shall not turn old shillings into new dollars.
"""

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    Table,
    Text,
    text,
)

from service.db.tables.meta import Instant, RowId, metadata

sale = Table(
    "sale",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("plot_id", RowId, ForeignKey("plot.id"), nullable=False),
    Column("sold_on", Date, nullable=False),
    Column("grams", Integer, nullable=False),
    # For all of it.
    Column("minor", BigInteger, nullable=False),
    Column("currency", Text, nullable=False),
    # As the farmer called them; null where nobody was named.
    Column("buyer", Text),
    # Said to be other fruit than what a collection took on that day.
    Column("besides", Boolean, nullable=False, server_default=text("false")),
    # It came by a text from a phone, or was told to an officer.
    Column("inbound_id", RowId),
    Column("phone_id", RowId),
    Column("officer_id", RowId, ForeignKey("officer.id")),
    Column("at", Instant, nullable=False),
    # The text that took it back, or the officer who did.
    Column("voided_by", RowId),
    Column("voided_by_officer", RowId, ForeignKey("officer.id")),
    CheckConstraint("grams > 0", name="grams_positive"),
    CheckConstraint("minor > 0", name="minor_positive"),
)
Index("ix_sale_plot_id_sold_on", sale.c.plot_id, sale.c.sold_on)
# Each text asks what its phone saved last.
Index("ix_sale_phone_id_at", sale.c.phone_id, sale.c.at)

cost = Table(
    "cost",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("plot_id", RowId, ForeignKey("plot.id"), nullable=False),
    Column("spent_on", Date, nullable=False),
    # See `flows.trading.CostKind`.
    Column("kind", Text, nullable=False),
    Column("minor", BigInteger, nullable=False),
    Column("currency", Text, nullable=False),
    Column("inbound_id", RowId),
    Column("phone_id", RowId),
    Column("officer_id", RowId, ForeignKey("officer.id")),
    Column("at", Instant, nullable=False),
    Column("voided_by", RowId),
    Column("voided_by_officer", RowId, ForeignKey("officer.id")),
    CheckConstraint("minor > 0", name="minor_positive"),
)
Index("ix_cost_plot_id_spent_on", cost.c.plot_id, cost.c.spent_on)
Index("ix_cost_phone_id_at", cost.c.phone_id, cost.c.at)

# Nothing is overwritten: of a market and class the price of the latest day holds, of one day the last that came in.
price = Table(
    "price",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("district_id", RowId, ForeignKey("district.id"), nullable=False),
    Column("market", Text, nullable=False),
    # What kind of fruit it is for, as the market calls it; '' where there is one price for all.
    Column("crop_class", Text, nullable=False),
    # For a kilo.
    Column("minor", BigInteger, nullable=False),
    Column("currency", Text, nullable=False),
    Column("quoted_on", Date, nullable=False),
    Column("officer_id", RowId, ForeignKey("officer.id")),
    Column("at", Instant, nullable=False),
    CheckConstraint("minor > 0", name="minor_positive"),
)
Index("ix_price_district_id_quoted_on", price.c.district_id, price.c.quoted_on)
