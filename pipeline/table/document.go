package table

import (
	"fmt"
	"io"
	"strings"
)

// Stored names the type of a column as Parquet and Arrow have it.
func (c Column) Stored() string {
	switch c.Kind {
	case Time:
		return "timestamp (µs, UTC)"
	case Fixed32:
		return fmt.Sprintf("decimal(9,%d)", c.Digits)
	case Fixed64:
		return fmt.Sprintf("decimal(18,%d)", c.Digits)
	case Float:
		return "double"
	case Text:
		return "text"
	case Bit:
		return "boolean"
	}
	return "int64"
}

// Layout says below which path the table's files lie.
func (t Table) Layout() string { return "dataset/" + t.Path("ID", "YYYY-MM") }

// Keys are the columns that stand in a file's path: readers of Hive partitions
// add them to each row.
func (t Table) Keys() []string {
	switch t.Partition {
	case BySystemMonth:
		return []string{"system", "month"}
	case BySystem:
		return []string{"system"}
	}
	return nil
}

// About is everything that is said of a column, as one sentence.
func (c Column) About() string {
	parts := []string{c.Doc}
	if c.Method != "" {
		parts = append(parts, "method: "+c.Method)
	}
	if c.Uncertainty != "" {
		parts = append(parts, "standard uncertainty in "+c.Uncertainty)
	}
	if c.Source != "" {
		parts = append(parts, "source: "+c.Source)
	}
	return strings.Join(parts, "; ")
}

// Reading says how other programs open the tables, with the one line each needs.
const Reading = `The dataset is plain Parquet in folders named key=value (Hive partitions): any reader opens
it. Times are UTC. Logged channels are decimals, exact to the digit; derived values are
doubles, and what is unknown is null. Readers that show decimals as objects need one line:

  DuckDB            SELECT * FROM read_parquet('dataset/samples/*/*/data.parquet', hive_partitioning = true,
                      hive_types = {'system': VARCHAR, 'month': VARCHAR})
                    (decimals compute as they are; x::DOUBLE makes a float)
  pyarrow, pandas   import pyarrow.dataset as ds
                    ways = ds.partitioning(flavor="hive", schema=pa.schema([("system", pa.string()), ("month", pa.string())]))
                    table = ds.dataset("dataset/samples", partitioning=ways).to_table()
                    floats = table.cast(pa.schema([f.with_type(pa.float64()) if pa.types.is_decimal(f.type) else f for f in table.schema]))
  polars            frame = pl.scan_parquet("dataset/samples/**/data.parquet", hive_partitioning=True, hive_schema={"system": pl.String, "month": pl.String})
                    floats = frame.with_columns(cs.decimal().cast(pl.Float64))
`

// Document writes tables out for people as Markdown: where each lies, and every
// column with its type, unit, meaning, method, uncertainty and source.
func Document(w io.Writer, tables []Table) error {
	var b strings.Builder
	for _, t := range tables {
		fmt.Fprintf(&b, "## %s\n\n%s.\n\nFiles: `%s`", t.Name, capital(t.Doc), t.Layout())
		if keys := t.Keys(); keys != nil {
			fmt.Fprintf(&b, "; from the path: %s", strings.Join(keys, ", "))
		}
		b.WriteString("\n\n| column | type | unit | meaning | method | uncertainty | source |\n|---|---|---|---|---|---|---|\n")
		for _, c := range t.Columns {
			fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s | %s |\n", c.Name, c.Stored(), c.Unit, cell(c.Doc), cell(c.Method), c.Uncertainty, cell(c.Source))
		}
		b.WriteByte('\n')
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func cell(s string) string { return strings.ReplaceAll(s, "|", `\|`) }

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
