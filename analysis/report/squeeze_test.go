package report

import "testing"

// What a script says stays as it is; only what nobody reads goes. The cases are those in
// which leaving out white space changes a script's meaning (ECMA-262, 12.10: ends of lines
// that end statements).
func TestSqueezeScript(t *testing.T) {
	for script, want := range map[string]string{
		"// why\nconst a = 'x  // y';\n":          "const a='x  // y';",
		"a = b + +c; d = e - -f;":                 "a=b+ +c;d=e- -f;",
		"if (/[/ ]+ x/.test(s)) return 1 / 2;":    "if(/[/ ]+ x/.test(s))return 1/2;",
		"x = y // until here\n(z)":                "x=y\n(z)",
		"f({\n  a: 1,\n  b: `two  words`,\n});":   "f({a:1,b:`two  words`,});",
		"const g = () => {\n  h();\n}\nk();":      "const g=()=>{h();}\nk();",
		"list\n  .map(x => x)\n  .filter(y);":     "list.map(x=>x).filter(y);",
		`s = "a \" b"  in  c ? typeof d : 'e';`:   `s="a \" b"in c?typeof d:'e';`,
		"a = b.split(/\\s+/).map(c => c / d / e)": "a=b.split(/\\s+/).map(c=>c/d/e)",
	} {
		if got := squeezeScript([]byte(script)); got != want {
			t.Errorf("%q:\ngot  %q\nwant %q", script, got, want)
		}
	}
}
