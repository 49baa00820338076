//! The evening-class request gives the committed result and drawings, byte for byte.
//!
//! `KIRTLE_WRITE=1 cargo test --features python --test all golden::` writes the files; look at them before committing.

use std::fs;

use crate::committed::assert_committed;
use kirtle::document::Request;
use kirtle::drawing::Paper;
use kirtle::files::{SvgScale, svg};
use kirtle::pattern::{Cloth, Vent, WaistFinish, WaistFinishKind};
use kirtle::{Body, Cutting, Ease, Pattern, Preset, Rules, SizeChart, Unit};

fn compare(name: &str, text: &str) {
    assert_committed(&format!("tests/golden/{name}"), text);
}

/// Returns a pattern as saved in a `.svg` file.
fn printed(pattern: &Pattern, unit: Unit) -> String {
    let paper = Paper::named("A4").unwrap();
    String::from_utf8(pattern.file_bytes("pattern.svg", unit, &paper).unwrap()).unwrap()
}

#[test]
fn the_result_and_the_drawings_are_the_committed_files() {
    let request = fs::read_to_string("tests/requests/evening-class.json").unwrap();
    let request = Request::from_json(&request).unwrap();
    let report: serde_json::Value = serde_json::from_str(&request.report().unwrap().to_json()).unwrap();
    // Without the version, which every release changes.
    let text = serde_json::to_string_pretty(&report).unwrap().replace(kirtle::VERSION, "");
    compare("evening-class.json", &(text + "\n"));
    let draft = request.draft().unwrap();
    compare("evening-class.svg", &svg(&kirtle::drawing::draw_draft(&draft, request.unit), SvgScale::True));
    let pattern = request.pattern(&draft).unwrap();
    let sheet = printed(&pattern, request.unit);
    compare("evening-class-pattern.svg", &sheet);
    for kind in WaistFinishKind::ALL {
        let finish = Some(WaistFinish::with_usual_lengths(kind, request.unit));
        let pattern = draft.pattern(&Cutting { finish, ..pattern.cutting().clone() }).unwrap();
        let sheet = printed(&pattern, request.unit);
        compare(&format!("evening-class-{}.svg", kind.name()), &sheet);
    }
    let vent = Some(Vent { vent: 18.0, vent_width: 4.0 });
    let pattern_with_vent = draft.pattern(&Cutting { vent, ..pattern.cutting().clone() }).unwrap();
    let sheet = printed(&pattern_with_vent, request.unit);
    compare("evening-class-vent.svg", &sheet);
    let mut slanted = request.clone();
    slanted.rules.panel_rules.centre_back_in = 1.5;
    let finish = Some(WaistFinish::with_usual_lengths(WaistFinishKind::Facing, request.unit));
    let slanted_pattern = slanted.draft().unwrap().pattern(&Cutting { finish, ..pattern.cutting().clone() }).unwrap();
    compare("evening-class-centre.svg", &printed(&slanted_pattern, request.unit));
    let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    let nest = range.nest(&[], &Cutting::preset(Preset::None, Unit::Cm)).unwrap();
    let nest = kirtle::drawing::draw_nest(&nest, Unit::Cm);
    compare("demo-nest.svg", &svg(&kirtle::drawing::with_header(nest), SvgScale::True));
    let finish = Some(WaistFinish::with_usual_lengths(WaistFinishKind::Waistband, Unit::Cm));
    let cutting = Cutting { finish, ..Cutting::preset(Preset::Garment, Unit::Cm) };
    let nest = kirtle::drawing::draw_nest(&range.nest(&["36-44"], &cutting).unwrap(), Unit::Cm);
    compare("demo-nest-waistband.svg", &svg(&kirtle::drawing::with_header(nest), SvgScale::True));
    let body = Body { waist: 70.0, hip: 100.0, hip_depth: 20.5, length: 58.0 };
    let altered = kirtle::drawing::draw_alteration(&range, &range.alter(&body, None).unwrap(), Unit::Cm);
    compare("demo-alteration.svg", &svg(&kirtle::drawing::with_header(altered), SvgScale::True));
    let lay = pattern.lay(&Cloth { width: 115.0, folded: false, one_way: false, selvedge: 1.0 }).unwrap();
    compare("evening-class-lay.svg", &svg(&kirtle::drawing::draw_lay(&lay, request.unit), SvgScale::True));
}
