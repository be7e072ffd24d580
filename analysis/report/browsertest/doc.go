// Package browsertest opens the report in a real browser, as its readers do: from a
// disk, without a network.
//
// It needs Chromium, and the chart engine of "make assets" with its accessibility
// checker. Where one is missing the tests fail and say what to install: a report
// that nobody has looked at is not tested.
package browsertest
