package corpustest

import (
	"context"
	"fmt"
	"io"
	"sort"
	"text/tabwriter"
	"time"
)

func timeText(utc int64) string { return time.UnixMicro(utc).UTC().Format(time.RFC3339Nano) }

// A Count is how the files of a group were read.
type Count struct {
	Right   int // every value stored
	Open    int // refused, and nothing in file or register settles it
	Refused int // refused although it is settled
	Wrong   int
}

// Files is how many files were read.
func (c Count) Files() int { return c.Right + c.Open + c.Refused + c.Wrong }

// A Tally is how a corpus was read.
type Tally struct {
	All     Count
	Groups  [len(Groups)]Count
	Silent  []string       // files that were silently misread, with how to make them again
	Short   []string       // files that were refused although they are settled
	Reasons map[string]int // of those, by reason and recipe
	Unasked []string       // open files that were refused without a question
	Values  int
	Covered int
	Pairs   int
}

// Run makes and reads n files.
func Run(ctx context.Context, seed uint64, n int) (Tally, error) {
	t := Tally{Reasons: map[string]int{}}
	recipes, covered, pairs := Recipes(seed, n)
	t.Covered, t.Pairs = covered, pairs
	for i, r := range recipes {
		f := Make(seed*1_000_000+uint64(i), r)
		v, err := Score(ctx, f)
		if err != nil {
			return t, fmt.Errorf("file %d (%s): %w", i, r, err)
		}
		t.add(i, f, v)
	}
	return t, nil
}

func (t *Tally) add(i int, f File, v Verdict) {
	t.Values += len(f.Values)
	one := Count{}
	name := fmt.Sprintf("file %d (%s), %s", i, f.Recipe, f.head())
	switch {
	case v.Outcome == Wrong:
		one.Wrong = 1
		t.Silent = append(t.Silent, fmt.Sprintf("%s: %v", name, v.Faults))
	case v.Outcome == Right:
		one.Right = 1
	case f.Settled:
		one.Refused = 1
		t.Short = append(t.Short, fmt.Sprintf("%s: %d values missed, %d kept as found: %v", name, v.Missed, v.AsFound, v.Reasons))
		t.Reasons[fmt.Sprint(v.Reasons)]++
	default:
		one.Open = 1
		if !v.Asked && v.AsFound == 0 && !f.packed() {
			t.Unasked = append(t.Unasked, fmt.Sprintf("%s: %s: %v", name, f.Open, v.Reasons))
		}
	}
	t.All.add(one)
	for _, g := range f.Recipe.Groups() {
		t.Groups[g].add(one)
	}
}

// head shows the first lines, to see what a file is about.
func (f File) head() string {
	return fmt.Sprintf("%.400q", f.Bytes)
}

func (c *Count) add(o Count) {
	c.Right += o.Right
	c.Open += o.Open
	c.Refused += o.Refused
	c.Wrong += o.Wrong
}

// Share is the share of right files among those that file and register settle.
func (c Count) Share() float64 {
	return float64(c.Right) / float64(max(c.Right+c.Refused+c.Wrong, 1))
}

// Print writes the tally by groups.
func (t Tally) Print(w io.Writer) error {
	tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tab, "files\tright\topen, refused\tsettled, refused\tsilently wrong\t  group\t")
	for g, c := range t.Groups {
		fmt.Fprintf(tab, "%d\t%d\t%d\t%d\t%d\t  %d %s\t\n", c.Files(), c.Right, c.Open, c.Refused, c.Wrong, g, Groups[g])
	}
	if err := tab.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "%.1f %% of the files that are settled were read right; %d values; %d of %d pairs of ways met\n",
		100*t.All.Share(), t.Values, t.Covered, t.Pairs)
	return err
}

// Common lists the reasons for which settled files were refused, the most frequent first.
func (t Tally) Common() []string {
	var list []string
	for r := range t.Reasons {
		list = append(list, r)
	}
	sort.Slice(list, func(i, j int) bool {
		a, b := t.Reasons[list[i]], t.Reasons[list[j]]
		return a > b || a == b && list[i] < list[j]
	})
	for i, r := range list {
		list[i] = fmt.Sprintf("%d: %s", t.Reasons[r], r)
	}
	return list
}
