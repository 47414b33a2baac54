//! What holds for every tooth, whatever the tables say.

use oar_schema::teeth::{Arch, Notation, Tooth, ToothKind, ToothSet, are_neighbours};

fn tooth(fdi: u8) -> Tooth {
    Tooth::new(fdi).expect("a tooth")
}

fn teeth(codes: &[u8]) -> ToothSet {
    codes.iter().copied().map(tooth).collect()
}

/// Many sets of present teeth: all, none, each dentition, and mixtures from a fixed sequence.
fn many_sets() -> Vec<ToothSet> {
    let primary = Tooth::all().filter(|tooth| tooth.is_primary()).collect();
    let mut sets = vec![ToothSet::new(), Tooth::all().collect(), ToothSet::PERMANENT, primary];
    let mut state: u64 = 1;
    for _ in 0..200 {
        // The multiplier and increment of Knuth's MMIX generator.
        let step = |state: u64| state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let chosen = |_: &Tooth| {
            state = step(state);
            state >> 63 == 1
        };
        sets.push(Tooth::all().filter(chosen).collect());
    }
    sets
}

#[test]
fn every_notation_reads_back_what_it_writes() {
    for tooth in Tooth::all() {
        for notation in Notation::ALL {
            let text = notation.write(tooth);
            assert_eq!(notation.read(&text), Some(tooth), "{notation:?} {text}");
            let small = text.to_lowercase();
            assert_eq!(notation.read(&small), Some(tooth), "{notation:?} {small}");
        }
        assert_eq!(Tooth::from_palmer(&tooth.palmer_symbol()), Some(tooth), "{tooth}");
    }
}

#[test]
fn no_two_teeth_are_written_alike() {
    for a in Tooth::all() {
        for b in Tooth::all().filter(|b| *b != a) {
            for notation in Notation::ALL {
                assert_ne!(notation.write(a), notation.write(b), "{notation:?}");
            }
            assert_ne!(a.palmer_symbol(), b.palmer_symbol());
            assert_ne!(a.name(), b.name());
        }
    }
}

#[test]
fn text_that_names_no_tooth_is_not_read() {
    let not_teeth = [
        (Notation::Fdi, &["", "1", "19", "+1", "011", "110", "56", "90", "1 ", "⏌"][..]),
        (Notation::Universal, &["", "0", "01", "33", "51", "82", "U", "AS", "AA", "+1"]),
        (Notation::Palmer, &["", "UR", "UR0", "UR9", "URF", "U1", "R1", "⏌1", "1⎿", "1", "⏌"]),
    ];
    for (notation, texts) in not_teeth {
        for text in texts {
            assert_eq!(notation.read(text), None, "{notation:?} {text:?}");
        }
    }
    for text in ["", "S", "1S", "50", "83", "051", "+5", "US", "ASS", "A"] {
        assert_eq!(Tooth::universal_supernumerary(text), None, "{text:?}");
    }
}

#[test]
fn the_index_is_dense_and_rises_with_the_code() {
    for (index, tooth) in Tooth::all().enumerate() {
        assert_eq!(tooth.index(), index);
        assert_eq!(Tooth::from_index(index), Some(tooth));
        assert_eq!(Tooth::new(tooth.fdi()), Some(tooth));
        assert_eq!(tooth.to_string(), tooth.fdi().to_string());
    }
    assert!(Tooth::all().is_sorted());
    assert_eq!(Tooth::all().len(), Tooth::COUNT);
    assert_eq!(Tooth::from_index(Tooth::COUNT), None);
    assert_eq!(Tooth::try_from(19), "19".parse::<Tooth>());
    assert_eq!(Tooth::try_from(11), "11".parse());
    assert_eq!(u8::from(tooth(11)), 11);
}

/// Anatomy, from memory: each primary tooth is followed by the permanent tooth of its place, and
/// permanent molars follow none.
#[test]
fn successor_and_predecessor_undo_each_other() {
    for tooth in Tooth::all() {
        if let Some(successor) = tooth.successor() {
            assert_eq!(successor.predecessor(), Some(tooth));
        }
        if let Some(predecessor) = tooth.predecessor() {
            assert_eq!(predecessor.successor(), Some(tooth));
        }
        assert_eq!(tooth.successor().is_some(), tooth.is_primary(), "{tooth}");
        let replaces = !tooth.is_primary() && !tooth.kind().is_molar();
        assert_eq!(tooth.predecessor().is_some(), replaces, "{tooth}");
    }
}

/// Anatomy, from memory: primary molars make way for premolars, the others for their own kind.
#[test]
fn a_successor_stands_in_the_same_place() {
    for primary in Tooth::all().filter(|tooth| tooth.is_primary()) {
        let successor = primary.successor().unwrap();
        let kind = match primary.kind() {
            ToothKind::FirstMolar => ToothKind::FirstPremolar,
            ToothKind::SecondMolar => ToothKind::SecondPremolar,
            other => other,
        };
        assert_eq!(successor.kind(), kind, "{primary}");
        assert_eq!((successor.arch(), successor.side()), (primary.arch(), primary.side()));
        assert_eq!(successor.position(), primary.position());
    }
}

#[test]
fn every_kind_belongs_to_one_group() {
    for kind in ToothKind::ALL {
        let groups = [kind.is_incisor(), kind.is_canine(), kind.is_premolar(), kind.is_molar()];
        assert_eq!(groups.iter().filter(|group| **group).count(), 1, "{kind:?}");
        assert_eq!(kind.is_anterior(), !kind.is_premolar() && !kind.is_molar(), "{kind:?}");
    }
}

#[test]
fn names_begin_with_arch_and_side() {
    for tooth in Tooth::all() {
        let start = format!("{} {} ", tooth.arch().as_str(), tooth.side().as_str());
        assert!(tooth.name().starts_with(&start), "{}", tooth.name());
    }
}

#[test]
fn being_neighbours_holds_both_ways() {
    for present in many_sets() {
        for a in Tooth::all() {
            for b in Tooth::all() {
                let both = [are_neighbours(a, b, &present), are_neighbours(b, a, &present)];
                assert_eq!(both[0], both[1], "{a} and {b} among {present:?}");
            }
        }
    }
}

#[test]
fn neighbours_are_present_in_the_same_arch_and_never_the_tooth_itself() {
    for present in many_sets() {
        for tooth in Tooth::all() {
            let [mesial, distal] = tooth.neighbours(&present);
            for neighbour in [mesial, distal].into_iter().flatten() {
                assert!(present.contains(tooth) && present.contains(neighbour));
                assert_eq!(neighbour.arch(), tooth.arch());
                assert_ne!(neighbour, tooth);
            }
            assert!(mesial.is_none() || mesial != distal, "{tooth}");
            if let Some(distal) = distal {
                assert_eq!(distal.side(), tooth.side(), "{tooth}");
                assert!(distal.position() > tooth.position(), "{tooth}");
            }
        }
    }
}

/// A row of k teeth has k − 1 contacts, so no neighbour is skipped or invented.
#[test]
fn an_arch_is_one_unbroken_row() {
    for present in many_sets() {
        for arch in Arch::ALL {
            let held = Tooth::all().filter(|tooth| {
                let hidden = tooth.predecessor().is_some_and(|primary| present.contains(primary));
                tooth.arch() == arch && present.contains(*tooth) && !hidden
            });
            let sides = held.clone().flat_map(|tooth| tooth.neighbours(&present)).flatten();
            let contacts = held.count().saturating_sub(1);
            assert_eq!(sides.count(), 2 * contacts, "{arch:?} of {present:?}");
        }
    }
}

/// Worked by hand from the order of the arch.
#[test]
fn neighbours_cross_the_midline_and_skip_missing_teeth() {
    let all = ToothSet::PERMANENT;
    assert!(are_neighbours(tooth(11), tooth(21), &all));
    assert!(are_neighbours(tooth(31), tooth(41), &all));
    assert!(!are_neighbours(tooth(11), tooth(41), &all));
    assert_eq!(tooth(14).neighbours(&all), [Some(tooth(13)), Some(tooth(15))]);
    assert_eq!(tooth(48).neighbours(&all), [Some(tooth(47)), None]);

    let extracted = all.difference(teeth(&[14, 31, 41]));
    assert_eq!(tooth(13).neighbours(&extracted), [Some(tooth(12)), Some(tooth(15))]);
    assert_eq!(tooth(32).neighbours(&extracted), [Some(tooth(42)), Some(tooth(33))]);
    assert_eq!(tooth(14).neighbours(&extracted), [None, None]);
}

/// Worked by hand: 55 stands where 15 will come.
#[test]
fn a_primary_tooth_holds_the_place_of_its_successor() {
    let mixed = teeth(&[16, 55, 54, 13, 12, 11]);
    assert_eq!(tooth(16).neighbours(&mixed), [Some(tooth(55)), None]);
    assert_eq!(tooth(54).neighbours(&mixed), [Some(tooth(13)), Some(tooth(55))]);

    let both_listed = mixed.union(teeth(&[15]));
    assert_eq!(tooth(16).neighbours(&both_listed), [Some(tooth(55)), None]);
    assert_eq!(tooth(15).neighbours(&both_listed), [None, None]);
}

#[test]
fn a_set_holds_what_was_put_in_and_not_taken_out() {
    for a in Tooth::all() {
        let mut set = ToothSet::new();
        assert!(set.insert(a) && !set.insert(a));
        assert_eq!((set.len(), set.is_empty()), (1, false));
        for b in Tooth::all() {
            assert_eq!(set.contains(b), a == b);
        }
        assert!(set.remove(a) && !set.remove(a));
        assert!(set.is_empty());
    }
    for set in many_sets() {
        assert!(set.iter().is_sorted());
        assert_eq!(set.iter().len(), set.len());
        assert_eq!(set.iter().collect::<ToothSet>(), set);
        assert_eq!(set.iter().count(), set.len());
    }
}

#[test]
fn union_and_difference_hold_the_teeth_they_say() {
    let sets = many_sets();
    for pair in sets.windows(2) {
        for tooth in Tooth::all() {
            let [a, b] = [pair[0], pair[1]].map(|set| set.contains(tooth));
            assert_eq!(pair[0].union(pair[1]).contains(tooth), a || b);
            assert_eq!(pair[0].difference(pair[1]).contains(tooth), a && !b);
        }
    }
    let permanent: ToothSet = Tooth::all().filter(|tooth| !tooth.is_primary()).collect();
    assert_eq!(ToothSet::PERMANENT, permanent);
}

#[test]
fn each_tooth_is_in_the_permanent_or_in_the_primary_set() {
    assert!(ToothSet::PERMANENT.intersection(ToothSet::PRIMARY).is_empty());
    assert_eq!(ToothSet::PERMANENT.union(ToothSet::PRIMARY), Tooth::all().collect());
    for tooth in Tooth::all() {
        assert_eq!(ToothSet::PRIMARY.contains(tooth), tooth.is_primary());
        let alone = ToothSet::from_iter([tooth]);
        assert_eq!(ToothSet::PRIMARY.intersection(alone).is_empty(), !tooth.is_primary());
    }
}
