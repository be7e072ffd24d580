module rimelog

go 1.26.8

require (
	github.com/andybalholm/brotli v1.1.1 // indirect
	github.com/apache/arrow/go/v17 v17.0.0 // indirect
	github.com/chromedp/cdproto v0.159.3 // indirect
	github.com/chromedp/chromedp v0.23.0 // indirect
	github.com/evanw/esbuild v0.28.2 // indirect
	github.com/go-echarts/go-echarts/v2 v2.6.7 // indirect
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/gofrs/flock v0.13.2 // indirect
	github.com/google/uuid v1.6.0 // indirect
	github.com/klauspost/compress v1.20.4 // indirect
	github.com/parquet-go/bitpack v1.0.0 // indirect
	github.com/parquet-go/jsonlite v1.0.0 // indirect
	github.com/parquet-go/parquet-go v0.32.0 // indirect
	github.com/pierrec/lz4/v4 v4.1.21 // indirect
	github.com/rogpeppe/go-internal v1.16.0 // indirect
	github.com/twpayne/go-geom v1.6.1 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/term v0.48.0 // indirect
	golang.org/x/text v0.44.0 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
	google.golang.org/protobuf v1.34.2 // indirect
)
