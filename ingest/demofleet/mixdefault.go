package demofleet

// DemoMix is the fleet of the demo: plain enough to be understood at a glance.
func DemoMix() Mix {
	m := DefaultMix()
	m.Mistakes, m.Quirks = nil, nil
	m.Slips = Slips{
		ChargeMissing: 0.09, ChargeWrong: 0.06, ChargeError: Range{0.1, 0.2}, FieldsMissing: 0.09, RefrigerantName: 0.03,
		KGError: m.Slips.KGError, DateError: m.Slips.DateError,
	}
	m.Visits.Hose, m.Visits.OpenHoses, m.Changes.Part, m.Changes.Flow = 0, 0, 0, 0
	m.Machines.Reversible, m.Changes.Retrofit = 0, 0
	m.Meters = Meters{Heat: 0.3, Counter: 0.4, Humidity: 0.3}
	m.Faults.Icing.Share = 0
	m.Faults.SuddenLeak.Share, m.Faults.ForeignGas.Share, m.Faults.Overcharge.Share = 0, 0, 0
	m.Faults.ValveClosed.Share, m.Faults.ValveOpen.Share, m.Faults.Wear.Share = 0, 0, 0
	return m
}

// DefaultMix is a fleet as rough as real ones. Shares are guesses (common
// practice, no source).
func DefaultMix() Mix {
	early := Range{0.1, 0.5}
	return Mix{
		Kinds: Kinds{
			ColdRoom: 5, FreezerRoom: 3, DisplayCabinet: 3, AirConditioner: 6, Chiller: 3, WaterCooledChiller: 2,
			AirHeatPump: 3, GroundHeatPump: 3, Pack: 2,
		},
		Fluids:  everyRefrigerant(),
		Weather: Weather{Season: 1, Daily: 1, Spells: 1, Persistence: 0.78, Load: 1},
		Stays:   Stays{0.08, 120},
		Loggers: everyLogger(),
		Classes: everyClass(),
		Machines: Machines{
			Size: 1, Volume: 1, ReceiverSize: 1, SourceNTU: 1, SinkNTU: 1, Isentropic: 1, Falloff: 0.012, DefrostFor: 22,
			CondenserFan: Range{0.015, 0.03}, EvaporatorFan: Range{0.02, 0.045}, Opening: Range{0.68, 0.85}, ElectronicOpen: Range{0.45, 0.6}, Gradient: Range{3, 4.5},
			Evaporating: Range{-1, 1}, Condensing: Range{-2, 2}, Superheat: Range{-0.5, 1}, Subcooling: Range{-1, 2},
			SuctionRise: Range{1.5, 4}, LiquidDrop: Range{0.2, 0.6}, AfterReceiver: Range{1, 2.5}, ReceiverFill: Range{0.35, 0.55},
			Clearance: Range{0.02, 0.035}, HeatLoss: Range{0.03, 0.08},
			Receiver: 0.3, ReceiverLevel: 0.4, ValvePosition: 0.3, Flooding: 0.3, Reversible: 0.3, Spread: 1, Hunting: Range{0.2, 2}, ElectronicHunt: Range{0.05, 0.4}, HuntingPeriod: Range{80, 90},
			Swing: Range{0.3, 0.9}, Recirculation: Range{0, 2.5}, Doors: Range{0, 0.8}, Defrost: Range{5, 9}, Sun: Range{0, 2},
			SuctionLoss: Range{0.3, 1}, DischargeLoss: Range{0.1, 0.6}, Oil: Range{0.05, 0.15}, Frost: Range{0, 0.12},
		},
		Controls: Controls{
			Cycle: Range{20, 34}, Duty: Range{0.25, 0.95}, Settling: 1,
			LeastSpeed: 0.5, MoreSpeed: 0.55, CoolingAt: 20, HeatingAt: 6, SpeedSpan: 6,
			StageAt: Range{9, 17}, Stages: Range{0.5, 0.75},
			HeadPressure: 1, FansBelow: Range{8, 15}, FansLeast: 0.12, WaterBelow: Range{4, 9}, WaterLeast: 0.2, FloodBelow: 11, HeatsBelow: 11,
		},
		Faults: Faults{
			Unnoticed:         0.35,
			Wait:              Range{1, 10},
			Leak:              Trouble{0.18, early, Range{0.05, 0.25}, Range{}, 0, Range{0.08, 0.2}, 0.4, 0.2, 0.3},
			SuddenLeak:        Trouble{0.02, Range{0.2, 0.9}, Range{}, Range{0.15, 0.5}, 0, Range{}, 0.7, 0, 0.7},
			Overcharge:        Trouble{0.03, Range{0.1, 0.7}, Range{}, Range{0.08, 0.25}, 0, Range{}, 0, 0, 0},
			CondenserFouling:  Trouble{0.1, early, Range{0.15, 0.4}, Range{}, 0.6, Range{0.25, 0.4}, 0.6, 0, 0.1},
			EvaporatorFouling: Trouble{0.05, early, Range{0.15, 0.4}, Range{}, 0.5, Range{0.25, 0.4}, 0.6, 0, 0.1},
			Icing:             Trouble{0.02, Range{0.1, 0.9}, Range{2, 6}, Range{}, 0.6, Range{0.3, 0.5}, 0.8, 0, 0.8},
			Restriction:       Trouble{0.03, early, Range{0.2, 0.4}, Range{}, 0.75, Range{0.6, 0.7}, 0.5, 0, 0.3},
			Wear:              Trouble{0.02, early, Range{0.05, 0.15}, Range{}, 0.4, Range{0.2, 0.3}, 0.5, 0, 0.2},
			ForeignGas:        Trouble{0.02, Range{0, 0.6}, Range{}, Range{0.05, 0.9}, 0, Range{}, 0, 0, 0},
			ValveClosed:       Trouble{0.01, Range{0.2, 0.8}, Range{}, Range{0.35, 0.5}, 0, Range{}, 0.6, 0, 0.6},
			ValveOpen:         Trouble{0.01, Range{0.2, 0.8}, Range{}, Range{0.85, 1}, 0, Range{}, 0.4, 0, 0.3},
		},
		Changes: Changes{
			Setting: 0.08, SettingStep: Range{1, 2}, Part: 0.03, PartSize: Range{0.88, 1.15}, Retrofit: 0.1,
			Flow: 0.05, FlowShare: Range{0.75, 1.15},
		},
		Visits: Visits{
			Weeks: Range{4, 10}, Minutes: Range{25, 60}, Hours: Range{8, 15}, Standing: 0.4, StandFor: Range{2, 5}, OpenHoses: 0.15, OpenFor: Range{1, 4}, OtherKit: 0.25, Sharing: 12,
			Interval: Range{1, 1}, Work: 12, AfterWork: 35, Others: 0.85, SparseOf: 0.3,
			Sparse: 0.15, Hose: 0.2, HoseKG: Range{0.01, 0.05}, HoseMost: 0.003,
		},
		Meters:   Meters{Unit: 0.2, Heat: 0.3, Counter: 0.4, CounterSet: 0.2, Humidity: 0.3, Watts: 0.03, OnePhase: 0.03, Backwards: 0.03},
		Sensors:  Sensors{Error: 1, Contact: 1, Tails: 0.03, TailGain: 5, Ordinary: 1, Lag: 12, Drift: 0.3, Level: 2, Noise: 1},
		Mistakes: defaultMistakes(),
		Sizes: Sizes{
			Loose: Range{0.3, 0.6}, LooseLag: Range{150, 400}, FallenLag: Range{8, 8}, ErrorCodes: Range{1, 8}, ClockHours: Range{1, 1},
			Coarse: Range{120, 180}, Short: Range{4, 8}, PullDown: Range{5, 12}, OtherShare: Range{0.72, 0.9}, OtherRise: Range{1.3, 1.6},
			Step: Range{0.6, 0.75}, StepFor: Range{6, 15}, OnCoil: Range{-0.8, -0.8}, SuctionLow: Range{6.3, 10.8},
			LiquidSun: Range{5.6, 9.6}, OutdoorSun: Range{5.6, 9.6}, Zero: Range{25, 60},
		},
		Quirks:   defaultQuirks(),
		Slips:    Slips{0.1, 0.1, Range{0.05, 0.3}, 0.05, 0.05, 0.1, 0.03, 0.01, 0.1, 0.25, 0.1, 0.03, 0.1, 0.03, Range{0.3, 2.5}, 60},
		Records:  Records{Signed: 0.85, Reclaimed: 0.25, Unsaid: 0.15, Retested: 0.65, Lapsed: 0.25, Age: 9},
		OddFiles: true,
	}
}
