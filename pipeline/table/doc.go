// Package table says what every table of the dataset holds.
//
// One struct per table; each field is a column. The tags are the single source
// of a column's name, unit and meaning: the Parquet writer, the frames in memory
// and all documentation follow from them: what `rimelog tables` prints, the report's
// page about method, and the list below.
//
//	col     the column's name; its unit is part of it (suction_pressure_kpa)
//	unit    the unit as people write it
//	doc     what the value means
//	method  how it was worked out, where that is not in doc
//	u       the column that holds its standard uncertainty
//	source  the standard, handbook or paper that the method is from
//
// The field's type decides how the column is stored:
//
//	time.Time  TIMESTAMP(MICROS, UTC); the zero time is null
//	Fixed      DECIMAL(9,3): thousandths in an INT32
//	Flow       DECIMAL(9,6): millionths in an INT32
//	Counter    DECIMAL(18,3): thousandths in an INT64
//	float64    DOUBLE; NaN is null
//	string     UTF-8 text; never null, empty where there is nothing to say
//	bool       BOOLEAN
//	State      BOOLEAN that may be unknown
//	int64      INT64
//
// A system and a month stand in a file's path, not in its columns.
//
// [Document] writes all of it out for people, column by column: `rimelog tables
// -markdown` prints it.
//
// # Tables
//
// Made from the tags by go generate. A unit stands in brackets.
//
//   - samples (dataset/samples/system=ID/month=YYYY-MM/data.parquet): what was measured, one row per system
//     and time. Columns: time, suction_pressure_kpa [kPa], discharge_pressure_kpa [kPa], liquid_pressure_kpa
//     [kPa], ambient_pressure_kpa [kPa], suction_temp_c [°C], discharge_temp_c [°C], liquid_temp_c [°C],
//     valve_inlet_temp_c [°C], evaporator_inlet_temp_c [°C], evaporator_outlet_temp_c [°C],
//     evaporator_coil_temp_c [°C], condenser_coil_temp_c [°C], outdoor_temp_c [°C],
//     condenser_air_on_temp_c [°C], condenser_air_off_temp_c [°C], evaporator_air_on_temp_c [°C],
//     evaporator_air_off_temp_c [°C], room_temp_c [°C], sink_inlet_temp_c [°C], sink_outlet_temp_c [°C],
//     source_inlet_temp_c [°C], source_outlet_temp_c [°C], sink_flow_m3_h [m³/h], source_flow_m3_h
//     [m³/h], refrigerant_flow_kg_s [kg/s], outdoor_humidity_pct [%], room_humidity_pct [%], power_kw [kW],
//     energy_kwh [kWh], current_a [A], voltage_v [V], compressor_speed_hz [Hz], valve_opening_pct [%],
//     fan_speed_pct [%], receiver_level_pct [%], running, defrost.
//   - extras (dataset/extras/system=ID/month=YYYY-MM/data.parquet): values of columns that no channel stands
//     for, as found. Columns: time, header, number, text.
//   - refusals (dataset/refusals/system=ID/data.parquet): lines and cells that were not taken, by runs, with
//     the reason. Columns: upload, first_line, last_line, channel, reason, text, cells.
//   - running (dataset/running/system=ID/month=YYYY-MM/data.parquet): what the machine did, stretch by
//     stretch: off, starting, running at which capacity, defrost, pump-down, reversed; and why a stretch is
//     not judged. Columns: start, end, state, lasts_min [min], samples, capacity_pct [%], compressor_speed_hz
//     [Hz], power_kw [kW], excluded, known_by, running_by.
//   - windows (dataset/windows/system=ID/month=YYYY-MM/data.parquet): stretches in which the plant was steady
//     or stationary; a window belongs to the month it starts in. Columns: start, end, grade, samples,
//     period_s [s], superheat_k [K], superheat_sd_k [K], superheat_u_k [K], superheat_u95_k [K],
//     superheat_spread_u_k [K], superheat_repeat_u_k [K], superheat_correction_k [K], subcooling_k [K],
//     subcooling_sd_k [K], subcooling_u_k [K], subcooling_u95_k [K], subcooling_spread_u_k [K],
//     subcooling_repeat_u_k [K], subcooling_correction_k [K], evaporating_temp_c [°C], condensing_temp_c
//     [°C], discharge_superheat_k [K], discharge_superheat_u_k [K], evaporator_td_k [K], evaporator_td_u_k
//     [K], condenser_td_k [K], condenser_td_u_k [K], suction_pressure_kpa [kPa], discharge_pressure_kpa
//     [kPa], liquid_pressure_kpa [kPa], suction_temp_c [°C], discharge_temp_c [°C], liquid_temp_c [°C],
//     pressure_ratio [1], isentropic_efficiency [1], isentropic_efficiency_u [1], cooling_cop [1],
//     cooling_cop_u [1], heating_cop [1], heating_cop_u [1], carnot_fraction [1], sink_heat_kw [kW], power_kw
//     [kW], outdoor_temp_c [°C], room_temp_c [°C], receiver_level_pct [%], superheat_swing_k [K],
//     superheat_duty [1], superheat_limit_k [K], subcooling_limit_k [K], start_unknown, provisional,
//     running_by, instruments.
//   - visits (dataset/visits/system=ID/data.parquet): stays at a system (a day each for permanent loggers),
//     split at interventions. Columns: start, end, part, use, reason, samples, running_min [min], windows,
//     judged_min [min], logged_min [min], off_min [min], left_out_min [min], split_by, instruments,
//     fingerprint, engineer, superheat_k [K], superheat_u_k [K], superheat_u95_k [K], superheat_repeat_u_k
//     [K], superheat_correction_k [K], subcooling_k [K], subcooling_u_k [K], subcooling_u95_k [K],
//     subcooling_repeat_u_k [K], subcooling_correction_k [K], evaporating_temp_c [°C], condensing_temp_c
//     [°C], discharge_superheat_k [K], discharge_superheat_u_k [K], evaporator_td_k [K], evaporator_td_u_k
//     [K], condenser_td_k [K], condenser_td_u_k [K], suction_pressure_kpa [kPa], discharge_pressure_kpa
//     [kPa], liquid_pressure_kpa [kPa], suction_temp_c [°C], discharge_temp_c [°C], liquid_temp_c [°C],
//     isentropic_efficiency [1], isentropic_efficiency_u [1], cooling_cop [1], cooling_cop_u [1], heating_cop
//     [1], heating_cop_u [1], carnot_fraction [1], sink_heat_kw [kW], power_kw [kW], outdoor_temp_c [°C],
//     room_temp_c [°C], receiver_level_pct [%], standstill_excess_k [K], mode, doubt.
//   - trends (dataset/trends/system=ID/data.parquet): what was known of each feature after each visit,
//     decided from data up to it only. Columns: decided_on, feature, verdict, note, visits, since,
//     suspected_since, per_year [K/a], per_year_lo [K/a], per_year_hi [K/a], change_k [K], change_lo_k [K],
//     change_hi_k [K], level_k [K], per_outdoor_k [K/K], outdoor_ref_c [°C], noise_k [K], p_value [1].
//   - causes (dataset/causes/system=ID/data.parquet): what may have been wrong after each visit, with
//     probabilities, decided from data up to it only. Columns: decided_on, kind, probability [1], log_odds
//     [1], log_odds_sure [1], sudden, since, suspected_since, visits, feature, size_k [K], size_lo_k [K],
//     size_hi_k [K], per_year [K/a], per_year_lo [K/a], per_year_hi [K/a], noise_k [K], others, warmer_share
//     [1], lost_pct [%], lost_pct_lo [%], lost_pct_hi [%], loss_pct_per_year [%/a], loss_pct_per_year_lo
//     [%/a], loss_pct_per_year_hi [%/a], calibrated_by, note.
//   - conditions (dataset/conditions/system=ID/data.parquet): how a system stood at each visit against limits
//     that need no past. Columns: start, end, observed_min [min], watched_min [min], starts, starts_told,
//     outdoor_temp_c [°C], liquid_return_min [min], liquid_return_longest_min [min],
//     liquid_return_superheat_k [K], liquid_return_discharge_superheat_k [K], superheat_k [K], superheat_u_k
//     [K], discharge_superheat_u_k [K], hot_gas_min [min], hot_gas_longest_min [min], hot_gas_temp_c [°C],
//     high_ratio_min [min], high_ratio_longest_min [min], pressure_ratio [1], no_subcooling_min [min],
//     no_subcooling_longest_min [min], no_subcooling_k [K], subcooling_u_k [K], valve_at_stop_min [min],
//     valve_at_stop_longest_min [min], valve_at_stop_pct [%], warm_room_min [min], warm_room_longest_min
//     [min], warm_room_temp_c [°C], warm_room_k_per_hour [K/h].
//   - energy_windows (dataset/energy_windows/system=ID/month=YYYY-MM/data.parquet): power, capacity and COP
//     of each window by each route, with its boundary. Columns: start, end, mode, outdoor_temp_c [°C],
//     lift_k [K], power_kw [kW], power_covers, route, boundary, cop [1], cop_u [1], capacity_kw [kW],
//     kw_per_kw [1], carnot_internal [1], carnot_external [1], cop_by_heat_meter [1], cop_by_refrigerant_flow
//     [1], cop_by_states [1], cop_by_air [1], cop_by_rejected_heat [1], routes_ratio [1], routes_ratio_u [1],
//     routes_compared, discharge_temp_c [°C], power_index [kW/kPa], flag, evidence, instruments.
//   - energy_hours (dataset/energy_hours/system=ID/month=YYYY-MM/data.parquet): electricity, running time and
//     metered heat by the hour; gaps stay gaps. Columns: start, covered_h [h], electricity_kwh [kWh],
//     from_counter, observed_h [h], running_h [h], heat_kwh [kWh], heat_electricity_kwh [kWh], heat_h [h],
//     outdoor_temp_c [°C], room_temp_c [°C].
//   - energy_days (dataset/energy_days/system=ID/data.parquet): electricity, useful heat, COP and duty day by
//     day, with route and boundary. Columns: day, mode, electricity_kwh [kWh], covered_h [h], complete,
//     electricity_by, running_h [h], duty_pct [%], outdoor_temp_c [°C], room_temp_c [°C], power_kw [kW],
//     capacity_kw [kW], route, boundary, cop [1], cop_u [1], kw_per_kw [1], carnot_internal [1],
//     carnot_external [1], heat_kwh [kWh], windows, flagged_windows, flag, routes_ratio [1], routes_ratio_u
//     [1], routes_compared.
//   - seasons (dataset/seasons/system=ID/data.parquet): COP and power by half-year and by bins of outdoor
//     temperature, and what changed in common bins. Columns: season, from, to, what, mode, route, boundary,
//     axis, bin_from [°C or K], bin_to [°C or K], windows, days, hours_h [h], cop [1], cop_lo [1], cop_hi
//     [1], cop_se [1], cop_u [1], power_kw [kW], power_se_kw [kW], electricity_kwh [kWh], electricity_days,
//     degree_days [K·d], electricity_normal_kwh [kWh], against, change_pct [%], change_lo_pct [%],
//     change_hi_pct [%], verdict, common_bins, instruments, note.
//   - savings (dataset/savings/system=ID/data.parquet): electricity avoided by events in the weather of the
//     days after, with intervals, or why nothing can be said. Columns: event, on, stated, why, model,
//     change_point_c [°C], change_point_hi_c [°C], cv_rmse_pct [%], nmbe_pct [%], path, autocorrelation
//     [1], days_before, days_after, days_outside, days_stood, coldest_c [°C], warmest_c [°C], until,
//     actual_kwh [kWh], expected_kwh [kWh], avoided_kwh [kWh], avoided_u_kwh [kWh], avoided_lo68_kwh [kWh],
//     avoided_hi68_kwh [kWh], avoided_lo90_kwh [kWh], avoided_hi90_kwh [kWh], avoided_lo95_kwh [kWh],
//     avoided_hi95_kwh [kWh], price_per_kwh [money/kWh], avoided_money [money], avoided_lo90_money [money],
//     avoided_hi90_money [money], currency, avoided_co2e_t [t], avoided_lo90_co2e_t [t], avoided_hi90_co2e_t
//     [t].
//   - losses (dataset/losses/system=ID/data.parquet): where the electricity goes: the split from the least
//     work to the real one, with cost and what restoring the own best would gain. Columns: part, from, to,
//     size_k [K], share_pct [%], electricity_kwh_per_year [kWh/a], cost_per_year [money/a], currency,
//     own_best_k [K], gain_pct [%], gain_kwh_per_year [kWh/a], gain_cost_per_year [money/a], windows, note.
//   - energy_ranking (dataset/energy_ranking/data.parquet): systems of one kind, refrigerant, mode, route and
//     boundary, compared at equal outdoor temperatures. Columns: group, system, rank, sets,
//     against_middle_pct [%], against_middle_lo_pct [%], against_middle_hi_pct [%], cop [1],
//     electricity_kwh_per_year [kWh/a], gain_pct [%], gain_kwh_per_year [kWh/a], gain_cost_per_year
//     [money/a], currency, bins, why.
//   - priors (dataset/priors/data.parquet): what systems of one kind teach each other about a feature, by
//     quarter. Columns: quarter, scope, feature, systems, level_k [K], level_se_k [K], spread_k [K],
//     per_outdoor_k [K/K], per_outdoor_se_k [K/K], scatter_k [K].
//   - baselines (dataset/baselines/data.parquet): what each feature of each system should be, from its own
//     visits and from systems like it. Columns: system, feature, since, until, visits, healthy, note, level_k
//     [K], level_u_k [K], per_outdoor_k [K/K], per_outdoor_u_k [K/K], outdoor_ref_c [°C], outdoor_lo_c
//     [°C], outdoor_hi_c [°C], room_lo_c [°C], room_hi_c [°C], scatter_k [K], own_weight [1], prior.
//   - peers_compared (dataset/peers_compared/data.parquet): each system's features beside those of systems
//     like it: the odd one out among the same model. Columns: system, scope, systems, feature, level_k [K],
//     peers_k [K], deviation_k [K], deviation_u_k [K], odd.
//   - instruments_compared (dataset/instruments_compared/data.parquet): what each instrument shows against
//     others at the same systems. Columns: serial, feature, systems, visits, offset_k [K], offset_u_k [K],
//     doubtful.
//   - coverage (dataset/coverage/data.parquet): when each system was last seen, and systems without a usable
//     visit for months. Columns: system, visits, usable, last_visit, last_usable, months_without, unseen,
//     reason, connections_in_a_year, advice.
//   - findings (dataset/findings/data.parquet): what is worth a person's time, most urgent first, closed ones
//     last. Columns: id, rank, system, site, kind, state, raised_on, changed_on, cleared_on, suspected_since,
//     feature, size_k [K], size_lo_k [K], size_hi_k [K], per_year [K/a], per_year_lo [K/a], per_year_hi
//     [K/a], raised_size_k [K], raised_per_year [K/a], visits, evidence, alternative, next_check, limited_by,
//     probability [1], causes, raised_causes, lost_pct [%], lost_pct_lo [%], lost_pct_hi [%],
//     loss_pct_per_year [%/a], loss_pct_per_year_lo [%/a], loss_pct_per_year_hi [%/a], loss_kg_per_year
//     [kg/a], loss_kg_per_year_lo [kg/a], loss_kg_per_year_hi [kg/a], loss_co2e_t_per_year [t/a],
//     loss_co2e_t_per_year_lo [t/a], loss_co2e_t_per_year_hi [t/a], calibrated_by, probability_now [1],
//     reason, answer, answered_on, answered_by, answer_note, observed, limit, limit_on, limit_on_lo,
//     limit_on_hi, settles, waiting_cost, quiet_until.
//   - recurrences (dataset/recurrences/data.parquet): faults that came back after they were put right.
//     Columns: system, kind, finding, ended_on, ended_by, again, raised_on, days [d].
//   - steps_seen (dataset/steps_seen/data.parquet): what the logs show of refrigerant that was added or
//     recovered, and steps that no register row explains. Columns: system, on, moved_kg [kg], visits_before,
//     visits_after, step_k [K], step_u_k [K], expected_k [K], verdict, note.
//   - uploads (dataset/uploads/data.parquet): every file that was seen, and where each of its lines and
//     values went. Columns: upload, path, status, systems, reading, reason, bytes [B], lines, data_lines,
//     header_lines, preamble_lines, footer_lines, blank_lines, quarantined_lines, waiting_lines, values_read,
//     stored, duplicates, refused, missing.
//   - upload_verdicts (dataset/upload_verdicts/data.parquet): whether the analysis used each upload, all of
//     it, a part or nothing, with shares of its time and reasons. Columns: upload, path, system, verdict,
//     reasons, rules, visits, visits_used, visits_shown, logged_min [min], off_pct [%], left_out_pct [%],
//     unsteady_pct [%], judged_pct [%], shown_pct [%], stored_pct [%], fingerprint, engineer.
//   - quality (dataset/quality/data.parquet): what was left out of the results or limits them, with the
//     remedy. Columns: place, system, problem, remedy, weight, rule, visit.
//   - log_quality (dataset/log_quality/data.parquet): how good logs are by instrument set, instrument and
//     engineer: shares with counts and intervals, for training; below 10 visits nobody is compared. Columns:
//     by, name, visits, visits_used, visits_in_part, visits_unused, used_pct [%], used_lo_pct [%],
//     used_hi_pct [%], judged_pct [%], visits_with_mistakes, mistakes_pct [%], mistakes_lo_pct [%],
//     mistakes_hi_pct [%], commonest, compared.
//   - leak_checks (dataset/leak_checks/data.parquet): leak checks and what else is due at systems, the most
//     pressing first. Columns: system, site, what, state, due_on, opens_on, last_on, every_months, why,
//     doubt, told, finding, jurisdiction, rule, standing.
//   - leak_rates (dataset/leak_rates/data.parquet): leak rate at each addition of refrigerant, by both
//     methods of 40 CFR 82.152 and 84.102. Columns: system, day, added_kg [kg], charge_kg [kg], days [d],
//     annualizing_pct [%], annualizing_lo_pct [%], annualizing_hi_pct [%], window_days [d], rolling_pct [%],
//     rolling_lo_pct [%], rolling_hi_pct [%], limit_pct [%], note.
//   - leak_years (dataset/leak_years/data.parquet): what each system lost in each calendar year by its
//     records. Columns: system, year, added_kg [kg], recovered_kg [kg], replaced_kg [kg], replaced_pct [%],
//     replaced_co2e_t [t], annualizing_pct [%], rolling_pct [%], loss_limit_pct [%], chronic.
//   - crossings (dataset/crossings/data.parquet): days on which systems passed a limit of leak rate or loss.
//     Columns: system, day, what, value_pct [%], limit_pct [%], certain, note, jurisdiction, rule, standing.
//   - service_bans (dataset/service_bans/data.parquet): refrigerants in use that are banned from service, or
//     will be. Columns: system, refrigerant, gwp [1], from, in_force, banned, allowed, doubt, jurisdiction,
//     rule, standing.
//   - record_gaps (dataset/record_gaps/data.parquet): what records lack, or what in them cannot be so, with
//     what to write. Columns: system, day, place, problem, remedy, weight, rule.
//   - stock (dataset/stock/data.parquet): refrigerant that went in and out of systems, by year and
//     refrigerant. Columns: year, refrigerant, first_charge_kg [kg], added_new_kg [kg], added_recycled_kg
//     [kg], added_reclaimed_kg [kg], added_unsaid_kg [kg], recovered_kg [kg], net_kg [kg], net_co2e_t [t],
//     unweighed.
//   - balance (dataset/balance/data.parquet): the refrigerant of each system by its records: charge, added,
//     recovered, replaced. Columns: system, refrigerant, charge_kg [kg], charge_lo_kg [kg], charge_hi_kg
//     [kg], charge_by, since, first_charge_kg [kg], added_kg [kg], recovered_kg [kg], replaced_kg [kg], gwp
//     [1], charge_co2e_t [t], tested, jurisdiction, rules, complete.
//   - fleet_loss (dataset/fleet_loss/data.parquet): loss of refrigerant of the whole fleet by year, in % of
//     the charge and t CO2 equivalent. Columns: year, systems, systems_without_charge, charge_kg [kg],
//     replaced_kg [kg], replaced_pct [%], replaced_co2e_t [t], partial.
//   - charge_compared (dataset/charge_compared/data.parquet): booked kilograms beside the loss that the logs
//     show. Columns: system, from, to, booked_kg [kg], booked_lo_kg [kg], booked_hi_kg [kg], logs_kg [kg],
//     logs_lo_kg [kg], logs_hi_kg [kg], verdict, note, findings.
//   - record_book (dataset/record_book/data.parquet): every line of the record, corrected ones too, in time
//     order for each system. Columns: system, site, day, clock, event, moved_kg [kg], refrigerant, co2e_t
//     [t], gwp_set, quality, reason, outcome, result, company, certificate, person, person_certificate,
//     facility, facility_certificate, note, record, state, balance_kg [kg], place, sha256.
//   - record_audit (dataset/record_audit/data.parquet): the register rows, uploads, rule sets and findings
//     behind each figure of the records, by hash. Columns: table, system, figure, source, sha256.
package table
