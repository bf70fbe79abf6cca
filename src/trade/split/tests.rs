//! Splits by hand, by their invariants, and against every way there is to lay a small run.

use super::*;
use proptest::prelude::*;

const NO_RULES: Rules = Rules { stagger: None, seams: None, interval: None };

fn split(run: i64, lap: i64, longest: i64, beyond: [i64; 2]) -> Split {
    Split {
        run: Length::sixty_fourths(run),
        lap: Length::sixty_fourths(lap),
        longest: Length::sixty_fourths(longest),
        least: Length::ZERO,
        beyond: beyond.map(Length::sixty_fourths),
        laid_from: LaidFrom::Left,
        kind: Kind::Even,
        step: Length::sixty_fourths(4),
    }
}

fn inches<const N: usize>(inches: [i64; N]) -> Vec<Length> {
    inches.map(Length::inches).to_vec()
}

fn span(start: i64, end: i64) -> Span {
    Span { start: Length::inches(start), end: Length::inches(end) }
}

/// 42' 7-1/4" at 10 ft with 6 in laps: 5 · 120 − 4 · 6 = 576 ≥ 511.25, and 4 pieces reach only 462 in.
#[test]
fn the_worked_run() {
    let split = split(511 * 64 + 16, 6 * 64, 120 * 64, [0, 0]);
    let lengths = split.divide(&NO_RULES).unwrap().lengths;
    assert_eq!(lengths.iter().copied().sum::<Length>(), Length::sixty_fourths((511 + 24) * 64 + 16));
    // 535-1/4 in is 8564 sixteenths: five pieces of 1712 and four sixteenths over, given to those laid first.
    assert_eq!(lengths[..4], [Length::sixty_fourths(1713 * 4); 4]);
    assert_eq!(lengths[4..], [Length::sixty_fourths(1712 * 4)]);
    let mut from_right = Split { laid_from: LaidFrom::Right, ..split }.divide(&NO_RULES).unwrap().lengths;
    from_right.reverse();
    assert_eq!(from_right, lengths);
}

#[test]
fn longest_first_leaves_no_stub() {
    let split = Split { kind: Kind::LongestFirst, ..split(240 * 64, 6 * 64, 120 * 64, [0, 0]) };
    assert_eq!(split.divide(&NO_RULES).unwrap().lengths, inches([120, 120, 12]));
    let least = Split { least: Length::inches(24), ..split };
    assert_eq!(least.divide(&NO_RULES).unwrap().lengths, inches([120, 108, 24]));
    let from_right = Split { laid_from: LaidFrom::Right, ..least };
    assert_eq!(from_right.divide(&NO_RULES).unwrap().lengths, inches([24, 108, 120]));
    // What the bench cannot set is made up by the last.
    let odd = Split { run: split.run + Length::sixty_fourths(1), ..least };
    let lengths = odd.divide(&NO_RULES).unwrap().lengths;
    assert_eq!(lengths, [inches([120, 108]), vec![Length::sixty_fourths(24 * 64 + 1)]].concat());
}

#[test]
fn a_least_finer_than_the_step_goes_before_the_step() {
    let even = Split { least: Length::sixty_fourths(63 * 64 + 33), ..split(121 * 64 + 3, 6 * 64, 120 * 64, [0, 0]) };
    for kind in [Kind::Even, Kind::LongestFirst] {
        let lengths = Split { kind, ..even }.divide(&NO_RULES).unwrap().lengths;
        assert_eq!(lengths, [34, 33].map(|sixty_fourths| Length::sixty_fourths(63 * 64 + sixty_fourths)), "{kind:?}");
    }
}

#[test]
fn refusals_say_what_would_do() {
    let refused = |split: Split, rules: &Rules| split.divide(rules).unwrap_err();
    assert_eq!(refused(split(20_000, 7680, 7680, [0, 0]), &NO_RULES), SplitError::LapTooLong);
    assert_eq!(refused(split(20_000, 384, 7680, [0, 7680]), &NO_RULES), SplitError::EndTooLong);

    // Two pieces of 121 in with a 6 in lap: 63-1/2 each.
    let two = Split { least: Length::inches(72), ..split(121 * 64, 6 * 64, 120 * 64, [0, 0]) };
    let would_do = Length::sixty_fourths(63 * 64 + 32);
    assert_eq!(refused(two, &NO_RULES), SplitError::LeastTooLong { would_do });
    assert!(Split { least: would_do, ..two }.divide(&NO_RULES).is_ok());

    // The lap may start at 18 to 97 in, and that of the other trim stands at 57 to 63.
    let between = Split { least: Length::inches(24), ..two };
    let apart = |distance| Rules { stagger: Some(Stagger { distance, laps: vec![span(57, 63)] }), ..Rules::default() };
    let asked = apart(Length::inches(48));
    let would_do = Length::inches(34);
    assert_eq!(refused(between, &asked), SplitError::NoStagger { would_do: Some(would_do) });
    assert!(between.divide(&apart(would_do)).is_ok());
    let hair_more = would_do + Length::sixty_fourths(1);
    assert_eq!(refused(between, &apart(hair_more)), SplitError::NoStagger { would_do: Some(would_do) });

    let rules = Rules { interval: Some(Length::inches(18)), ..Rules::default() };
    assert_eq!(refused(two, &rules), SplitError::IntervalTooShort { more_than: Length::inches(18) });
}

fn lap_starts(division: &Division) -> Vec<Length> {
    division.laps.iter().map(|lap| lap.span.start).collect()
}

/// 342 in of end wall, and of the reglet above it.
fn wall() -> Split {
    Split { least: Length::inches(24), ..split(342 * 64, 6 * 64, 120 * 64, [0, 0]) }
}

#[test]
fn laps_keep_apart_by_moving_the_least_or_by_one_piece_more() {
    let end_wall = wall().divide(&NO_RULES).unwrap();
    assert_eq!(lap_starts(&end_wall), inches([112, 224]));
    let apart = |distance| {
        let laps = end_wall.laps.iter().map(|lap| lap.span).collect();
        let rules = Rules { stagger: Some(Stagger { distance: Length::inches(distance), laps }), ..Rules::default() };
        wall().divide(&rules).unwrap()
    };
    // Three pieces can start their first lap at 108 to 114 only, so a fourth is needed: laps at 84, 168 and 252.
    assert_eq!(apart(12).lengths, inches([90; 4]));
    // 30 clear of 112 to 118 and of 224 to 230 leaves starts up to 76, 148 to 188 and from 260.
    assert_eq!(lap_starts(&apart(30)), inches([76, 168, 260]));
    assert_eq!(apart(30).lengths, inches([82, 98, 98, 82]));
}

#[test]
fn laps_that_move_leave_lengths_on_the_step() {
    let hair = Length::sixty_fourths(1);
    let off_step = Split { run: wall().run + hair, lap: wall().lap + hair * 2, ..wall() };
    let laps = vec![Span { start: Length::inches(80) + hair, end: Length::inches(86) }];
    let rules = Rules { stagger: Some(Stagger { distance: Length::inches(30), laps }), ..Rules::default() };
    let division = off_step.divide(&rules).unwrap();
    assert_ne!(division, off_step.divide(&NO_RULES).unwrap());
    let (last, others) = division.lengths.split_last().unwrap();
    assert!(others.iter().all(|&length| length == length.nearest(off_step.step)), "{others:?}");
    assert_ne!(*last, last.nearest(off_step.step));
}

#[test]
fn laps_keep_off_seams_where_there_is_a_way() {
    let seams = |every, clear| Rules {
        seams: Some(Seams { first: Length::inches(5), every: Length::inches(every), clear: Length::inches(clear) }),
        ..Rules::default()
    };
    // Seams at 101, 117 and 133, and so on: a lap 1 in clear of them starts at 102 to 110, 118 to 126 and so on.
    let clear = wall().divide(&seams(16, 1)).unwrap();
    assert_eq!(clear.lengths, inches([116, 118, 120]));
    assert!(clear.laps.iter().all(|lap| !lap.on_seam));
    // Closer than a lap is long, seams are never all missed: the laps stay even, and say so.
    let on_seams = wall().divide(&seams(5, 0)).unwrap();
    assert_eq!(on_seams.lengths, inches([118; 3]));
    assert!(on_seams.laps.iter().all(|lap| lap.on_seam));
}

/// 130 ft of copper: three joints by UFGS 07 60 00 (legacy 07600), so four stretches.
#[test]
fn joints_are_laps_between_equal_stretches() {
    let run = split(130 * 12 * 64, 6 * 64, 120 * 64, [0, 0]);
    let rules = Rules { interval: Some(Length::inches(480)), ..Rules::default() };
    let division = run.divide(&rules).unwrap();
    let joints: Vec<Span> = division.laps.iter().filter(|lap| lap.joint).map(|lap| lap.span).collect();
    // (1560 + 3 · 6) / 4 is 394-1/2 in, so joints start every 388-1/2.
    let half = |halves: i64| Length::sixty_fourths(32 * halves);
    assert_eq!(joints, [777, 1554, 2331].map(|start| Span { start: half(start), end: half(start + 12) }));
    // The joints stand where the rule puts them.
    for (lap, quarter) in joints.iter().zip(1..) {
        let position = Length::inches(130 * 12 / 4) * quarter;
        assert!(lap.start <= position && position <= lap.end);
    }
    // Each stretch takes four pieces: 4 · 120 − 3 · 6 = 462.
    assert_eq!(division.lengths.len(), 16);
    assert_eq!(division.lengths.iter().copied().sum::<Length>(), run.run + run.lap * 15);

    // Two stretches of just one longest blank each; a return at one end of the run makes two pieces of its own stretch only.
    let rules = Rules { interval: Some(Length::inches(200)), ..Rules::default() };
    let lengths = |beyond| split(234 * 64, 6 * 64, 120 * 64, beyond).divide(&rules).unwrap().lengths;
    assert_eq!(lengths([0, 0]), inches([120, 120]));
    assert_eq!(lengths([640, 0]), inches([63, 63, 120]));
    assert_eq!(lengths([0, 640]), inches([120, 63, 63]));
}

proptest! {
    /// The invariants of the geometry in DEVELOPERS.md, for any run in 1/64 in.
    #[test]
    fn adds_up_and_stays_under_the_longest(
        run in 1i64..2_000_000, lap in 384i64..2_000, longest in 2_001i64..20_000,
        left in 0i64..1_000, right in 0i64..1_000, from_right: bool, longest_first: bool,
    ) {
        let split = Split {
            laid_from: if from_right { LaidFrom::Right } else { LaidFrom::Left },
            kind: if longest_first { Kind::LongestFirst } else { Kind::Even },
            ..split(run, lap, longest, [left, right])
        };
        let lengths = split.divide(&NO_RULES).unwrap().lengths;
        let n = lengths.len();
        prop_assert_eq!(lengths.iter().copied().sum::<Length>(), split.run + split.lap * (n as i64 - 1));
        for (i, &length) in lengths.iter().enumerate() {
            let mut blank = length;
            if i == 0 { blank += split.beyond[0]; }
            if i == n - 1 { blank += split.beyond[1]; }
            prop_assert!(blank <= split.longest);
            prop_assert!(length > Length::ZERO);
        }
        if n > 1 {
            let fewer = n as i64 - 1;
            let reach = split.longest * fewer - split.lap * (fewer - 1) - split.beyond[0] - split.beyond[1];
            prop_assert!(reach < split.run, "{} pieces would have done", fewer);
        }
    }
}

/// A small run in whole steps of 1 in, and everything that can be asked of it.
#[derive(Debug, Clone)]
struct Small {
    split: Split,
    rules: Rules,
}

fn small() -> impl Strategy<Value = Small> {
    let sizes = (4i64..36, 1i64..4, 8i64..14, 2i64..8, 0i64..3, 0i64..3);
    let other_laps = proptest::collection::vec((0i64..42, 1i64..4), 0..5);
    let seams = proptest::option::of((0i64..12, 2i64..12, 0i64..3));
    (sizes, any::<(bool, bool)>(), 0i64..5, other_laps, seams).prop_map(
        |((run, lap, longest, least, left, right), (from_right, longest_first), distance, laps, seams)| Small {
            split: Split {
                run: Length::inches(run),
                lap: Length::inches(lap),
                longest: Length::inches(longest),
                least: Length::inches(least),
                beyond: [left, right].map(Length::inches),
                laid_from: if from_right { LaidFrom::Right } else { LaidFrom::Left },
                kind: if longest_first { Kind::LongestFirst } else { Kind::Even },
                step: Length::inches(1),
            },
            rules: Rules {
                stagger: Some(Stagger {
                    distance: Length::inches(distance),
                    laps: laps.into_iter().map(|(start, wide)| span(start, start + wide)).collect(),
                }),
                seams: seams.map(|(first, every, clear)| Seams {
                    first: Length::inches(first),
                    every: Length::inches(every),
                    clear: Length::inches(clear),
                }),
                interval: None,
            },
        },
    )
}

/// Every way to lay `n` pieces of whole inches, as lap starts in the order laid; by trying all.
fn every_way(Small { split, rules }: &Small, n: usize) -> Vec<Vec<i64>> {
    let whole = |length: Length| length.nm() / Length::inches(1).nm();
    let [run, lap, longest, least] = [split.run, split.lap, split.longest, split.least].map(whole);
    let least = if run < least { 0 } else { least };
    let [mut first, mut last] = split.beyond.map(whole);
    if split.laid_from == LaidFrom::Right {
        (first, last) = (last, first);
    }
    let stagger = rules.stagger.as_ref().unwrap();
    let clear = |start: i64| {
        let left = if split.laid_from == LaidFrom::Left { start } else { run - start - lap };
        stagger.laps.iter().all(|other| {
            left - whole(other.end) >= whole(stagger.distance)
                || whole(other.start) - (left + lap) >= whole(stagger.distance)
        })
    };
    let mut ways: Vec<Vec<i64>> = vec![Vec::new()];
    for i in 0..n {
        let beyond = if i == 0 { first } else { 0 } + if i + 1 == n { last } else { 0 };
        let mut longer = Vec::new();
        for way in &ways {
            let from = way.last().copied().unwrap_or(0);
            for length in least.max(1)..=longest - beyond {
                let end = from + length;
                // Laps never lie three deep.
                let laps = i64::from(i > 0) + i64::from(i + 1 < n);
                if n > 1 && length < laps * lap {
                    continue;
                }
                if i + 1 == n {
                    if end == run {
                        longer.push(way.clone());
                    }
                } else if end <= run && clear(end - lap) {
                    longer.push([way.as_slice(), &[end - lap]].concat());
                }
            }
        }
        ways = longer;
    }
    ways
}

/// Whether a lap covers a seam or comes too near, by looking at each.
fn covers_a_seam(Small { split, rules }: &Small, start: i64) -> bool {
    let start = Length::inches(start);
    let left = if split.laid_from == LaidFrom::Left { start } else { split.run - start - split.lap };
    rules.seams.is_some_and(|Seams { first, every, clear }| {
        let seams = (0..100).map(|i| first + every * i).take_while(|&seam| seam <= split.run);
        seams.into_iter().any(|seam| left - clear < seam && seam < left + split.lap + clear)
    })
}

fn starts_of(small: &Small, division: &Division) -> Vec<i64> {
    let mut starts: Vec<i64> = division
        .laps
        .iter()
        .map(|lap| match small.split.laid_from {
            LaidFrom::Left => lap.span.start,
            LaidFrom::Right => small.split.run - lap.span.end,
        })
        .map(|start| start.nm() / Length::inches(1).nm())
        .collect();
    starts.sort_unstable();
    starts
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// Against every way there is: found where there is one, with the fewest pieces, off seams in the order laid, and
    /// then nearest to the even place or as far as can be.
    #[test]
    fn the_way_found_is_the_best_of_all(small in small()) {
        let Small { split, rules } = &small;
        let Ok(fewest) = split.count() else { return Ok(()) };
        let plain = split.divide(&NO_RULES);
        // Without rules, no least and laps nearly as long as pieces, three layers may lie together; such are left out.
        let three_deep = plain.iter().any(|plain| plain.laps.windows(2).any(|laps| laps[0].span.end > laps[1].span.start));
        prop_assume!(!three_deep);
        let found = split.divide(rules);
        let ways = (fewest..=fewest + MORE_PIECES).map(|n| every_way(&small, n)).find(|ways| !ways.is_empty());
        let Some(ways) = ways else {
            prop_assert!(found.is_err(), "{:?}", found);
            return Ok(());
        };
        prop_assert!(found.is_ok(), "{:?}, but {:?}", found, ways[0]);
        let found = found.unwrap();
        let starts = starts_of(&small, &found);
        prop_assert!(ways.contains(&starts), "{:?}", starts);

        let on_seams = |way: &Vec<i64>| way.iter().map(|&start| covers_a_seam(&small, start)).collect::<Vec<bool>>();
        let mut told: Vec<bool> = found.laps.iter().map(|lap| lap.on_seam).collect();
        if split.laid_from == LaidFrom::Right { told.reverse(); }
        prop_assert_eq!(&told, &on_seams(&starts));
        let fewest_on_seams = ways.iter().map(on_seams).min().unwrap();
        prop_assert_eq!(&told, &fewest_on_seams);

        let as_good = ways.iter().filter(|way| on_seams(way) == fewest_on_seams);
        if split.kind == Kind::LongestFirst {
            let furthest: Vec<i64> = (0..starts.len()).map(|i| as_good.clone().map(|way| way[i]).max().unwrap()).collect();
            prop_assert_eq!(starts, furthest);
        } else if starts.len() + 1 == fewest {
            let even = starts_of(&small, &plain.unwrap());
            let away = |way: &Vec<i64>| way.iter().zip(&even).map(|(at, even)| ((at - even).abs(), *at)).rev().collect::<Vec<_>>();
            prop_assert_eq!(away(&starts), as_good.map(away).min().unwrap());
        }
    }

    /// The sum, the least and the laps' distance hold for any sizes, on the step or off it, joints and all.
    #[test]
    fn rules_hold_off_the_step_too(
        run in 1i64..500_000, lap in 300i64..600, longest in 5_000i64..12_000, least in 1_200i64..2_000,
        (left, right) in (0i64..500, 0i64..500), from_right: bool, longest_first: bool,
        distance in 0i64..800, other in 1i64..4_000, seam in 600i64..2_000, interval in proptest::option::of(15_000i64..40_000),
    ) {
        let split = Split {
            laid_from: if from_right { LaidFrom::Right } else { LaidFrom::Left },
            kind: if longest_first { Kind::LongestFirst } else { Kind::Even },
            least: Length::sixty_fourths(least),
            ..split(run, lap, longest, [left, right])
        };
        let others: Vec<Span> = (0..)
            .map(|i| Length::sixty_fourths(other + i * 7_001))
            .take_while(|&start| start < split.run)
            .map(|start| Span { start, end: start + Length::sixty_fourths(400) })
            .collect();
        let distance = Length::sixty_fourths(distance);
        let seams = Seams { first: Length::sixty_fourths(seam / 2), every: Length::sixty_fourths(seam), clear: Length::ZERO };
        let rules = Rules {
            stagger: Some(Stagger { distance, laps: others.clone() }),
            seams: Some(seams),
            interval: interval.map(Length::sixty_fourths),
        };
        let divided = split.divide(&rules);
        if let Err(SplitError::NoStagger { would_do: Some(would_do) }) = divided {
            prop_assert!(would_do < distance);
            let narrower = Rules { stagger: Some(Stagger { distance: would_do, laps: others }), ..rules };
            prop_assert!(split.divide(&narrower).is_ok());
            return Ok(());
        }
        let Ok(Division { lengths, laps }) = divided else { return Ok(()) };
        let n = lengths.len();
        prop_assert_eq!(laps.len(), n - 1);
        prop_assert_eq!(lengths.iter().copied().sum::<Length>(), split.run + split.lap * (n as i64 - 1));
        let mut start = Length::ZERO;
        for (i, &length) in lengths.iter().enumerate() {
            prop_assert!(length >= split.least.min(split.run));
            let beyond = if i == 0 { split.beyond[0] } else { Length::ZERO }
                + if i + 1 == n { split.beyond[1] } else { Length::ZERO };
            prop_assert!(length + beyond <= split.longest);
            let Some(lap) = laps.get(i) else { continue };
            prop_assert_eq!(lap.span.end, start + length);
            start = lap.span.start;
            prop_assert_eq!(lap.span.end - start, split.lap);
            for other in &others {
                prop_assert!(lap.span.start - other.end >= distance || other.start - lap.span.end >= distance);
            }
        }
        let joints: Vec<Span> = laps.iter().filter(|lap| lap.joint).map(|lap| lap.span).collect();
        match rules.interval {
            None => prop_assert!(joints.is_empty()),
            Some(interval) => {
                prop_assert_eq!(joints.len(), expansion::joints(split.run, interval));
                let ends = [Length::ZERO].into_iter().chain(joints.iter().map(|joint| joint.start)).chain([split.run - split.lap]);
                let ends: Vec<Length> = ends.collect();
                prop_assert!(ends.windows(2).all(|pair| pair[1] - pair[0] <= interval));
            }
        }
    }
}

/// A blink, even unoptimized; work that grew with the square of the pieces would take minutes.
#[test]
fn long_runs_take_no_longer_for_each_piece() {
    let clock = std::time::Instant::now();
    let every = |inches: i64, until: i64| (1..until / inches).map(move |i| span(i * inches, i * inches + 6));
    let run = 50_000 * 110;
    let long = Split { least: Length::inches(24), ..split(run * 64, 6 * 64, 120 * 64, [0, 0]) };
    let rules = Rules {
        stagger: Some(Stagger { distance: Length::inches(12), laps: every(114, run).collect() }),
        seams: Some(Seams { first: Length::inches(5), every: Length::inches(16), clear: Length::inches(1) }),
        interval: None,
    };
    assert!(long.divide(&rules).unwrap().laps.len() > 45_000);
    assert!(long.divide(&NO_RULES).unwrap().laps.len() > 45_000);
    assert!(clock.elapsed().as_secs() < 10, "{:?}", clock.elapsed());
}
