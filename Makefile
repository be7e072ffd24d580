# Runs commands, nothing else. Needs Go, Node and npm; the rest sets itself up.
.PHONY: bench-fleet servers demo test test-long test-array slurm assets bench bench-duckdb figures lint accuracy browser python tools release notebooks vulncheck
demo: assets ; go run ./cmd/rimelog demo -workspace demo
test: assets browser ; go vet ./... && go test ./...
# A failing input is kept in testdata/fuzz and fails the second time too; what does not is the end of the time itself (golang/go#75804, mended in Go 1.27).
test-long: assets browser python tools notebooks servers ; go test -tags long -timeout 45m ./... && for p in $$(go list ./...); do for f in $$(go test -list '^Fuzz' $$p | grep '^Fuzz'); do go test -run '^$$' -fuzz "^$$f\$$" -fuzztime 15s -fuzzminimizetime 100x $$p || go test -run "^$$f\$$" -fuzz "^$$f\$$" -fuzztime 1000x $$p || exit 1; done; done
assets: ; go generate ./analysis/report/...
release: assets ; go run ./cmd/release
notebooks: assets python ; .cache/python/bin/python notebooks/run.py
vulncheck: ; go run ./cmd/vulncheck
bench: ; go test -run '^$$' -bench . -benchmem ./...
bench-duckdb: ; cd ingest/duckbench && go run .
figures: ; go test -run '^$$' -bench Shards -benchtime 1x -timeout 60m ./cmd/rimelog && cd ingest/duckbench && go run . -systems 10
bench-fleet: ; cd ingest/duckbench && go run . -systems 100
accuracy: ; go run ./thermo/internal/accuracy
lint: ; go vet ./... && go run honnef.co/go/tools/cmd/staticcheck@v0.8.2 ./...
browser: ; @command -v chromium >/dev/null || { [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && apt-get update -qq && apt-get install -y -qq --no-install-recommends chromium fonts-dejavu-core; } || echo 'The report tests need Chromium: install the package "chromium" with your system package manager.'
python: .cache/python/ready
.cache/python/ready: notebooks/requirements.txt ; @command -v python3 >/dev/null && python3 -c 'import venv, ensurepip' 2>/dev/null || { [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && apt-get update -qq && apt-get install -y -qq --no-install-recommends python3 python3-venv; } || echo 'The tests of other readers need Python: install the packages "python3" and "python3-venv" with your system package manager.'; python3 -m venv .cache/python && .cache/python/bin/pip install -q --disable-pip-version-check -r $< && touch $@
tools: ; @for t in zsh fish mandoc wine x86_64-w64-mingw32-ld systemd-analyze; do command -v $$t >/dev/null || missing="$$missing $$t"; done; [ -z "$$missing" ] || { [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && apt-get update -qq && apt-get install -y -qq --no-install-recommends zsh fish mandoc wine wine64 binutils-mingw-w64-x86-64 systemd; } || echo "The long tests need, from your system package manager:$$missing"
servers: .cache/bin/versitygw .cache/bin/fake-gcs-server .cache/azurite/node_modules/.bin/azurite-blob
.cache/bin/fake-gcs-server: ; GOBIN=$(CURDIR)/.cache/bin go install github.com/fsouza/fake-gcs-server@v1.56.1
.cache/azurite/node_modules/.bin/azurite-blob: ; npm install --prefix .cache/azurite --no-audit --no-fund azurite@3.35.0
.cache/bin/versitygw: ; GOBIN=$(CURDIR)/.cache/bin go install github.com/versity/versitygw/cmd/versitygw@v1.8.0
test-array: assets slurm .cache/bin/versitygw ; go test -tags array -timeout 60m -count 1 -v -run '^TestArray' ./cmd/rimelog
slurm: ; @for t in slurmctld slurmd sbatch munged; do command -v $$t >/dev/null || missing=1; done; [ -z "$$missing" ] || { [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && apt-get update -qq && apt-get install -y -qq --no-install-recommends slurmctld slurmd slurm-client munge; } || echo 'The array tests need Slurm and munge, and root to start them.'
