package scan

import (
	"bytes"
	"math/big"
	"slices"
	"strconv"
	"strings"
)

// A Decimal is a number as its digits say: mantissa × 10^-decimals.
type Decimal struct {
	Mantissa int64
	Decimals int
}

// Rat is the exact value.
func (d Decimal) Rat() *big.Rat {
	r := new(big.Rat).SetInt64(d.Mantissa)
	p := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(d.Decimals, -d.Decimals))), nil))
	if d.Decimals >= 0 {
		return r.Quo(r, p)
	}
	return r.Mul(r, p)
}

// Float is the float64 nearest to the exact value.
func (d Decimal) Float() float64 {
	if d.Mantissa < 1<<53 && d.Mantissa > -1<<53 && d.Decimals >= 0 && d.Decimals < len(tens) {
		return float64(d.Mantissa) / tens[d.Decimals] // both exact, so the quotient is the nearest
	}
	f, _ := d.Rat().Float64()
	return f
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// maxDigits is how many digits a mantissa holds for certain.
const maxDigits = 18

// Marks are how a file writes its numbers.
type Marks struct {
	Decimal   byte // '.' or ','
	Thousands byte // 0 none, '.', ',', '\'' or ' ' (any kind of blank)
}

// PlainNumber reads a plain number at b[i:]: sign, digits, decimal mark, digits,
// and nothing else up to the delimiter or the end. It reports false for anything
// it does not read; Number then takes a closer look.
func PlainNumber(b []byte, i int, mark, delim byte) (m int64, decimals, next int, ok bool) {
	neg := false
	if i < len(b) && b[i] == '-' {
		neg = true
		i++
	}
	start := i
	for i < len(b) {
		c := b[i] - '0'
		if c > 9 {
			break
		}
		m = m*10 + int64(c)
		i++
	}
	digits := i - start
	if digits == 0 {
		return 0, 0, i, false
	}
	if i < len(b) && b[i] == mark {
		i++
		point := i
		for i < len(b) {
			c := b[i] - '0'
			if c > 9 {
				break
			}
			m = m*10 + int64(c)
			i++
		}
		decimals = i - point
		if decimals == 0 {
			return 0, 0, i, false
		}
	}
	if digits+decimals > maxDigits || i < len(b) && b[i] != delim {
		return 0, 0, i, false
	}
	if neg {
		m = -m
	}
	return m, decimals, i, true
}

// Number reads a number in any form that loggers print: signs in Unicode,
// thousands marks in whole groups, exponents, a mark without digits on one side,
// and a unit behind it. It returns what follows the number, trimmed. The number
// is exact; one with more digits than a mantissa holds comes back as a fraction.
func Number(cell []byte, m Marks) (d Decimal, long *big.Rat, unit []byte, ok bool) {
	b := bytes.TrimSpace(cell)
	neg, b := Sign(b)
	whole, b := wholePart(b, m.Thousands)
	var frac []byte
	if len(b) > 0 && b[0] == m.Decimal {
		frac, b = digitsOf(b[1:])
	}
	if len(whole)+len(frac) == 0 {
		return Decimal{}, nil, nil, false
	}
	exp, b, ok := Exponent(b)
	if !ok {
		return Decimal{}, nil, nil, false
	}
	unit = bytes.TrimSpace(b)
	if len(unit) > 0 && (IsDigit(unit[0]) || bytes.IndexByte([]byte(".,:/-+'"), unit[0]) >= 0) {
		return Decimal{}, nil, nil, false
	}
	d, long, ok = assemble(neg, whole, frac, exp)
	return d, long, unit, ok
}

// Sign takes the sign off a number, hyphens and dashes included.
func Sign(b []byte) (neg bool, rest []byte) {
	for _, s := range []string{"-", "\u2212", "\u2013", "\u2010", "\u2011"} {
		if rest, ok := bytes.CutPrefix(b, []byte(s)); ok {
			return true, bytes.TrimLeft(rest, " ")
		}
	}
	rest, _ = bytes.CutPrefix(b, []byte("+"))
	return false, rest
}

func digitsOf(b []byte) (digits, rest []byte) {
	i := 0
	for i < len(b) && IsDigit(b[i]) {
		i++
	}
	return b[:i], b[i:]
}

// wholePart reads digits, with thousands marks where they part whole groups.
func wholePart(b []byte, thousands byte) (digits, rest []byte) {
	digits, rest = digitsOf(b)
	if thousands == 0 || len(digits) == 0 || len(digits) > 3 {
		return digits, rest
	}
	joined, behind := digits, rest
	pairs := thousands == ',' && len(digits) < 3 // lakh and crore: 1,23,45,678
	for size := markSize(behind, thousands); size > 0; size = markSize(behind, thousands) {
		group, after := digitsOf(behind[size:])
		switch {
		case len(group) == 2 && pairs && markSize(after, thousands) > 0:
		case len(group) == 3 && !(pairs && len(joined) > len(digits) && markSize(after, thousands) > 0):
			pairs = false
		default:
			if pairs && len(joined) > len(digits) {
				return digits, rest
			}
			return joined, behind
		}
		joined, behind = append(bytes.Clone(joined), group...), after
	}
	return joined, behind
}

// markSize is how many bytes the thousands mark at the start of b takes.
func markSize(b []byte, thousands byte) int {
	var forms []string
	switch thousands {
	case ' ':
		forms = []string{" ", "\u00A0", "\u202F", "\u2009"}
	case '\'':
		forms = []string{"'", "\u2019"}
	default:
		forms = []string{string(rune(thousands))}
	}
	for _, f := range forms {
		if len(b) >= len(f) && string(b[:len(f)]) == f {
			return len(f)
		}
	}
	return 0
}

// Exponent reads E+03, e-002 and the like. Reports false for one that is absurd.
func Exponent(b []byte) (exp int, rest []byte, ok bool) {
	if len(b) < 2 || b[0]|0x20 != 'e' {
		return 0, b, true
	}
	s := b[1:]
	neg := s[0] == '-'
	if neg || s[0] == '+' {
		s = s[1:]
	}
	digits, rest := digitsOf(s)
	if len(digits) == 0 {
		return 0, b, true // "5 e": a unit that begins with e
	}
	digits = bytes.TrimLeft(digits, "0")
	if len(digits) > 3 {
		return 0, nil, false
	}
	for _, c := range digits {
		exp = exp*10 + int(c-'0')
	}
	if neg {
		exp = -exp
	}
	return exp, rest, true
}

// assemble makes the number of its parts.
func assemble(neg bool, whole, frac []byte, exp int) (Decimal, *big.Rat, bool) {
	var room [64]byte // the cell's own bytes must stay as they are
	all := append(append(room[:0], bytes.TrimLeft(whole, "0")...), frac...)
	decimals := len(frac) - exp
	for decimals > 0 && len(all) > 0 && all[len(all)-1] == '0' && (len(all) > maxDigits || decimals > 9) {
		all, decimals = all[:len(all)-1], decimals-1
	}
	all = bytes.TrimLeft(all, "0")
	if len(all) == 0 {
		return Decimal{0, min(max(decimals, 0), 9)}, nil, true
	}
	if len(all)-min(decimals, 0) > maxDigits || decimals > 100 {
		return longNumber(neg, all, decimals)
	}
	m, err := strconv.ParseInt(string(all), 10, 64)
	if err != nil {
		return Decimal{}, nil, false
	}
	for ; decimals < 0; decimals++ {
		m *= 10
	}
	if neg {
		m = -m
	}
	return Decimal{m, decimals}, nil, true
}

func longNumber(neg bool, digits []byte, decimals int) (Decimal, *big.Rat, bool) {
	if len(digits) > 400 || max(decimals, -decimals) > 400 {
		return Decimal{}, nil, false
	}
	s := string(digits) + "e" + strconv.Itoa(-decimals)
	if neg {
		s = "-" + s
	}
	r, ok := new(big.Rat).SetString(s)
	return Decimal{}, r, ok
}

// MarkEvidence is what the digits and marks of cells say about the marks.
type MarkEvidence struct {
	Point, Comma           int    // cells in which the mark can only be the decimal mark
	PointWhole, CommaWhole int    // cells in which the mark can only part thousands
	PointOpen, CommaOpen   int    // cells such as 1.200, in which it can be either
	Blank, Apostrophe      int    // cells in which a blank or apostrophe parts thousands
	PointProof, CommaProof string // the first cell that proves each to be the decimal mark
}

// blankMarks are the blanks and apostrophes that part thousands.
var blankMarks = strings.NewReplacer(" ", "", "\u00A0", "", "\u202F", "", "\u2009", "", "'", "", "\u2019", "")

// Observe looks at one cell that should be a number.
func (e *MarkEvidence) Observe(cell []byte) {
	if IsPlainNumber(cell) {
		e.plainMarks(string(bytes.TrimPrefix(cell, []byte("-"))))
		return
	}
	if !bytes.ContainsAny(cell, ".,' \u00A0\u202F\u2009\u2019") {
		return
	}
	body := strings.Trim(string(cell), " \t+-\u2212\u2013")
	body, power := cutNumber(body)
	if power {
		e.proof(body)
		return
	}
	if strings.Trim(body, "0123456789.,") != "" {
		if strings.ContainsAny(body, "'\u2019") {
			e.Apostrophe++
		}
		if strings.ContainsAny(body, " \u00A0\u202F\u2009") {
			e.Blank++
		}
		body = blankMarks.Replace(body)
	}
	e.marks(body)
}

// cutNumber takes the unit or the power of ten off a number.
func cutNumber(body string) (number string, power bool) {
	i := strings.IndexFunc(body, func(r rune) bool { return r|0x20 >= 'a' && r|0x20 <= 'z' || r == '%' || r == '°' })
	if i < 0 {
		return body, false
	}
	after := body[i+1:]
	power = (body[i] == 'e' || body[i] == 'E') && after != "" && strings.ContainsAny(after[:1], "+-0123456789")
	return strings.TrimSpace(body[:i]), power
}

func (e *MarkEvidence) marks(body string) {
	if strings.Trim(body, "0123456789.,") == "" {
		e.plainMarks(body)
	}
}

// plainMarks is marks of a text that holds digits, points and commas only.
func (e *MarkEvidence) plainMarks(body string) {
	points, commas := strings.Count(body, "."), strings.Count(body, ",")
	switch {
	case points+commas == 0:
	case points > 0 && commas > 0:
		if strings.LastIndexByte(body, '.') > strings.LastIndexByte(body, ',') {
			e.CommaWhole++
			e.ProvePoint(body)
		} else {
			e.PointWhole++
			e.ProveComma(body)
		}
	case points > 1:
		e.PointWhole++
	case commas > 1:
		e.CommaWhole++
	default:
		e.single(body)
	}
}

// ProvePoint counts a cell in which the point is the decimal mark.
func (e *MarkEvidence) ProvePoint(cell string) {
	if e.Point++; e.PointProof == "" {
		e.PointProof = cell
	}
}

// ProveComma counts a cell in which the comma is the decimal mark.
func (e *MarkEvidence) ProveComma(cell string) {
	if e.Comma++; e.CommaProof == "" {
		e.CommaProof = cell
	}
}

// single looks at a number with one mark: it can part thousands only where one to
// three digits, not led by a zero, stand before it and three behind.
func (e *MarkEvidence) single(body string) {
	i := strings.IndexAny(body, ".,")
	if before, after := body[:i], body[i+1:]; len(after) == 3 && len(before) >= 1 && len(before) <= 3 && before[0] != '0' {
		if body[i] == '.' {
			e.PointOpen++
		} else {
			e.CommaOpen++
		}
		return
	}
	e.proof(body)
}

func (e *MarkEvidence) proof(body string) {
	switch i := strings.IndexAny(body, ".,"); {
	case i < 0:
	case body[i] == '.':
		e.ProvePoint(body)
	default:
		e.ProveComma(body)
	}
}

// IsPlainNumber is numberLike for the cells that nearly all files hold.
func IsPlainNumber(cell []byte) bool {
	digits, others := 0, 0
	for i, c := range cell {
		switch {
		case IsDigit(c):
			digits++
		case c == '.' || c == ',' || c == '-' && i == 0:
			others++
		default:
			return false
		}
	}
	return digits > 0 && others <= 2
}

// PointOrComma is the decimal mark that a cell's bytes allow: a comma where there is one.
func PointOrComma(cell []byte) byte {
	if slices.Contains(cell, ',') {
		return ','
	}
	return '.'
}
