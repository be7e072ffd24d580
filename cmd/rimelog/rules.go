package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"strings"

	"rimelog/analysis/records"
)

func rulesCommand() command {
	return command{
		name: "rules", takes: "[ID...]",
		short: "lists the rule sets of law on refrigerants, and prints them to be changed",
		long: `Rules on leak checks, leak rates, service bans and records are dated data with a jurisdiction.
Each names its passage, and whether its text was seen or comes from memory. They are guidance:
the law, codes and the maker prevail. Without an operand it lists them; with IDs it prints their
files. A file in rules/ of the workspace takes the place of the program's with the same id.

  rimelog rules                                          all rule sets
  rimelog rules eu-2024-573 > rules/eu-2024-573.json     one of them, to change`,
		setup: func(fs *flag.FlagSet) action {
			folder := fs.String("workspace", ".", "the `folder` whose rules/ come before the program's")
			return func(_ context.Context, out *console, ids []string) error {
				rules, err := readRules(os.DirFS(*folder))
				if err != nil {
					return err
				}
				sets, err := setsNamed(rules, ids)
				switch {
				case err != nil:
					return err
				case out.json:
					out.print(sets)
				case len(ids) == 0:
					return listRules(out, sets)
				default:
					for _, s := range sets {
						fmt.Fprintln(out.out, strings.TrimSuffix(s.Text, "\n"))
					}
				}
				return nil
			}
		},
	}
}

// setsNamed finds rule sets by ID, all where none is named.
func setsNamed(rules records.Rules, ids []string) ([]records.RuleSet, error) {
	return pick(rules.Sets(), ids, func(s records.RuleSet) string { return s.ID }, "no rule set has the id %q; there are %s")
}

// listRules prints a line for each set: where and when it holds, and how well it is
// founded.
func listRules(out *console, sets []records.RuleSet) error {
	ours, err := records.Embedded()
	if err != nil {
		return err
	}
	unchanged := map[string]bool{}
	for _, s := range ours.Sets() {
		unchanged[s.SHA256] = true
	}
	for _, s := range sets {
		until := ""
		if s.To != nil {
			until = " to " + s.To.Time.Format("2006-01-02")
		}
		origin := "yours"
		if unchanged[s.SHA256] {
			origin = "program's"
		}
		fmt.Fprintf(out.out, "%-20s %-3s %s\n%-24s from %s%s; %s; %s\n", s.ID, s.Jurisdiction, s.Title, "", s.From.Time.Format("2006-01-02"), until, standings(s), origin)
	}
	fmt.Fprintln(out.out, "\nGuidance only: the law, codes and the maker prevail.")
	return nil
}

// standings counts the rules of a set by whether their text was seen.
func standings(s records.RuleSet) string {
	seen := 0
	sources := s.Sources()
	for _, r := range sources {
		if r.Standing == records.Seen {
			seen++
		}
	}
	return fmt.Sprintf("%d rule(s) seen, %d %s", seen, len(sources)-seen, records.FromMemory)
}
