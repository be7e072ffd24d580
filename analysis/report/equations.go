package report

import "rimelog/analysis/say"

// An equation is one that figures of the pages follow from, with its source.
type equation struct {
	Name   say.Text
	Form   say.Text // as plain text: what stands on the left is what a page shows
	Where  say.Text // what its letters mean, and where it ends
	Source say.Text // a standard, paper or handbook; or that there is none
}

// A chapter is the equations of one subject.
type chapter struct {
	ID        string
	Title     say.Text
	Equations []equation
}

// equations are those of all pages, in the order of the data's way. What is an
// engineering choice says so in place of a source.
func equations() []chapter {
	return []chapter{
		{"fluid", "Refrigerant", fluidEquations()},
		{"cycle", "Cycle", cycleEquations()},
		{"doubt", "Uncertainty", doubtEquations()},
		{"change", "What changes slowly", changeEquations()},
		{"energy", "Energy", energyEquations()},
		{"books", "Leaks and records", bookEquations()},
	}
}

func fluidEquations() []equation {
	return []equation{
		{"Equation of state", "a/RT = α⁰(δ,τ) + αʳ(δ,τ);  p = ρRT (1 + δ ∂αʳ/∂δ)",
			"δ = ρ/ρᵣ, τ = Tᵣ/T. Nothing is extrapolated beyond the range of a refrigerant’s equation.",
			"each refrigerant’s own reference equation: “rimelog refrigerants” names it; forms by Span, Multiparameter Equations of State (2000)"},
		{"Blends", "αʳ = Σ xᵢ αʳᵢ(δ,τ) + ΣΣ xᵢxⱼ Fᵢⱼ αʳᵢⱼ(δ,τ);  δ = ρ/ρᵣ(x), τ = Tᵣ(x)/T",
			"xᵢ are mole fractions.", "Kunz and Wagner, J. Chem. Eng. Data 57 (2012) 3032; Lemmon and Jacobsen, J. Phys. Chem. Ref. Data 33 (2004) 593"},
		{"Absolute pressure", "p = p(gauge) + p(air at the site’s altitude)",
			"Where nobody wrote the altitude down, anything up to 1000 m counts as doubt.", "ISO 2533:1975"},
	}
}

func cycleEquations() []equation {
	return []equation{
		{"Superheat", "ΔT = T(suction) − T(dew at suction pressure)", "Evaporating and condensing temperature are dew temperatures.", "definition of the trade"},
		{"Subcooling", "ΔT = T(bubble at liquid pressure) − T(liquid)", "Discharge pressure stands in where no liquid pressure was logged.", "definition of the trade"},
		{"Coil differences", "ΔT = T(condensing) − T(entering the condenser);  ΔT = T(entering the evaporator) − T(evaporating)",
			"What enters is air or water, as logged.", "definition of the trade"},
		{"Isentropic efficiency", "η = (h₂ₛ − h₁) / (h₂ − h₁)", "1 suction, 2 discharge, 2s discharge pressure at the entropy of suction.", "definition of thermodynamics"},
		{"COP by refrigerant states", "COP(cooling) = (h₁ − h₃) / w;  COP(heating) = (h₂ − h₃) / w;  w = (h₂ − h₁) / (1 − s)",
			"1 suction or, where it was logged, the evaporator’s outlet in the heat taken up; 2 discharge; 3 liquid; s the share of the power that the compressor’s shell loses: none where the boundary is the gas, else an assumption of 5.5 ± 3.5 %.", "energy balance; the shell’s share is common practice, no source"},
		{"Carnot fraction", "ν = COP / (T(cold) / (T(hot) − T(cold)))", "In kelvin; heating has T(hot) on top. Not given below 8 K of lift.", "Carnot’s cycle"},
	}
}

func doubtEquations() []equation {
	return []equation{
		{"Combined uncertainty", "u² = Σ (∂f/∂xᵢ · uᵢ)²", "Derivatives are numerical.", "JCGM 100:2008, 5.1.2 and 5.1.3"},
		{"Instruments", "u = a/2 for a stated limit ±a;  u = a/√3 for a class of a standard", "A stated limit grows with the time since the calibration: in a year a pressure sensor creeps by 0.33 a/2, others by 0.15 a/2, and what has no date counts as a year old (common practice). Classes where the register names no instrument: EN 837-1 class 1.0, IEC 60584 class 2.", "JCGM 100:2008, 4.3.4 and 4.3.7"},
		{"Contact of a probe on a pipe", "T(shown) = T(pipe) + g (T(air) − T(pipe))", "g is taken so that 40 K between pipe and air cost the probe’s own limit; it may differ by half.", "engineering choice, no source"},
		{"Interval", "value ± k u, 95 %", "Of superheat and subcooling k follows the shape of the distribution, with a gross error in forty and a clamp in thirty that sits badly (five times its g) among them; pages show this interval. Elsewhere k is 2. What the same instruments do on every day cancels between visits, and counts between machines.", "JCGM 101:2008, 7.7; JCGM 100:2008, 6.2"},
	}
}

func changeEquations() []equation {
	return []equation{
		{"Steady or not", "|drift over 5 min| ≤ limit;  |mean of first half − mean of second half| ≤ 0.7 K",
			"Limits on the drift: saturation temperatures 1.0 K, superheat and subcooling 1.25 K, media 1.5 K, power 10 %. What oscillates about a mean that stands still is judged by its mean. These are defaults. How much a machine with a permanent logger scatters at rest is learned from the day before, and windows of few values are judged by it too.",
			"engineering choice beside the tolerances of EN 14511-3"},
		{"Single samples at rest", "|T − median over ± 2 h| ≤ 2 K;  T(discharge) ≥ median − 4 K",
			"T are the saturation temperatures. Where a permanent logger’s samples are 200 s and more apart, short runs hold no window: the mean of such samples speaks for the day.", "engineering choice, no source"},
		{"Influence of the weather", "y = b₀ + b₁ t + b₂ T(outdoor) + …, values far off counting less", "The part with b₂ is taken out.", "Huber, Robust Statistics (1981), ch. 7"},
		{"Slope", "b = median over all pairs of (yⱼ − yᵢ) / (tⱼ − tᵢ)", "Its interval follows from the spread of Kendall’s S.",
			"Theil, Proc. Kon. Ned. Akad. Wet. A 53 (1950) 386; Sen, J. Am. Stat. Assoc. 63 (1968) 1379"},
		{"Chance of such a trend in noise", "S = Σ sign(yⱼ − yᵢ) over i < j", "Ties are counted, and neighbours that resemble each other widen the spread of S.",
			"Mann, Econometrica 13 (1945) 245; Kendall, Rank Correlation Methods (1975); Hamed and Rao, J. Hydrol. 204 (1998) 182"},
		{"What may be wrong", "P(fault | visits) ∝ P(visits | fault, onset) · P(fault, onset), over all faults and onsets",
			"What each fault does to the gauges is an engineering choice; a finding must also stand with any one of the last visits left out.", "Bayes’ rule"},
	}
}

func energyEquations() []equation {
	return []equation{
		{"COP by meters", "COP = Q / W;  Q = ρ c V̇ ΔT", "Its route and its boundary go with every figure; those that differ are never compared.", "energy balance; water by the CRC Handbook of Chemistry and Physics, from memory"},
		{"Heat from the air", "Q = m(dry air) · (h(on) − h(off) − Δx · h(water))", "h = 1.006 t + x (2501 + 1.86 t) in kJ/kg, t in °C.",
			"ASHRAE Handbook, Fundamentals (2017), ch. 1; Hyland and Wexler, ASHRAE Trans. 89 (1983) 500"},
		{"Seasonal figure in the field", "SCOP = Σ demand(bin) / Σ (demand(bin) / COP(bin))", "Weights of a season; measured in the field, not rated. Bins not seen are left out, and the share seen is said.", "EN 14825:2016, annexes A and B, from memory"},
		{"Electricity over outdoor temperature", "y = b₀ + b₁ (c₁ − T)⁺ + b₂ (T − c₂)⁺", "(x)⁺ is x above zero, else zero. It tells how the machine follows the weather, and whether its days can carry a saving.",
			"ASHRAE Guideline 14-2014, annex D; Kissock, Haberl and Claridge, ASHRAE RP-1050 (2002); from memory"},
		{"Saving of an event", "y = f(T) + s(t) g(T) + h(t, T)", "f and g are lines that may bend every 3 K, as far as the days tell; s is how far what the event ended had come: 0 after it, 1 just before, and there all along or grown from some day on. h is a change that the event has no part in, such as another fault: from some day on, at once or growing, before the event and after it alike. The saving is g over the days after.",
			"penalized splines with restricted likelihood: Patterson and Thompson, Biometrika 58 (1971) 545; Ruppert, Wand and Carroll, Semiparametric Regression (2003); from memory"},
		{"Fitness of the model over temperature", "CV(RMSE) = 100 √(Σ(y − ŷ)² / (n − p)) / ȳ", "A saving is stated only where the limits are met and its half width at 68 % is below half of it.", "ASHRAE Guideline 14-2014, 5.2.11 and annex B, from memory"},
		{"Where the electricity goes", "W = Σ steps from the least work between the media to what was used", "The order of the steps is a choice: another would move some of one part into its neighbours.", "engineering choice on Carnot’s cycle"},
	}
}

func bookEquations() []equation {
	return []equation{
		{"CO₂ equivalent", "t CO₂e = kg · GWP / 1000", "A blend’s GWP is that of its composition by mass, with the values of the rule set of each day.", "the rule sets below"},
		{"Leak rate, annualizing", "100 · added / charge · 365 / days since refrigerant was last put in", "Days count as 1 to 365.", "40 CFR 82.152 and 84.102, by secondary texts"},
		{"Leak rate, rolling average", "100 · added in the last 365 days / charge", "Or since a follow-up test showed all leaks repaired.", "40 CFR 82.152 and 84.102, by secondary texts"},
	}
}
