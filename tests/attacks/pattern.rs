//! Fuzz target: a request, a cutting with a finish of the waist, and a cloth, with numbers from their whole valid ranges.

use arbitrary::{Result, Unstructured};
use kirtle::document::Request;
use kirtle::field::Field;
use kirtle::pattern::{Cloth, WaistFinish, WaistFinishKind, WaistFinishLengths};
use kirtle::{
    Allowances, Apportionment, Body, Cutting, Darts, Ease, Figure, GivenDart, Opening, PanelRules, Press, Rules,
    Shares, Unit,
};

use crate::bodies::{pattern_or_reject, with_darts};
use crate::pieces::{MIN_DISTINCT_ALLOWANCE, check_cut_line, check_lay};

/// Checks that every draft passes its proof, and that its pieces keep the laws of cut line and lay.
pub(crate) fn pattern(data: &[u8]) {
    let Ok((request, cutting, cloth)) = inputs(&mut Unstructured::new(data)) else { return };
    match request.draft() {
        Ok(draft) => {
            let proof = draft.proof();
            assert!(proof.holds, "{proof:?}");
        }
        Err(problems) => return super::check_problems(&problems),
    }
    let Ok(pattern) = pattern_or_reject(&request, &cutting) else { return };
    if let Some(proof) = pattern.waist_proof() {
        assert!(proof.holds, "{proof:?}");
    }
    let laws = check_cut_line(&pattern).and_then(|()| match pattern.lay(&cloth) {
        Ok(lay) => check_lay(&lay),
        Err(problems) => {
            super::check_problems(&problems);
            Ok(())
        }
    });
    assert!(laws.is_ok(), "{laws:?}");
}

fn inputs(bytes: &mut Unstructured) -> Result<(Request, Cutting, Cloth)> {
    let mut body = Body::from_array(numbers(bytes, Body::FIELDS)?);
    // A skirt must end at least 1 cm below the hip line.
    body.length = body.length.max(body.hip_depth + 1.0);
    let ease = Ease::from_array(numbers(bytes, Ease::FIELDS)?);
    let panel_rules = PanelRules::from_array(numbers(bytes, PanelRules::FIELDS)?);
    let by_darts = bytes.ratio(2, 5)?;
    let shares = if by_darts { Shares::default() } else { Shares::from_array(numbers(bytes, Shares::FIELDS)?) };
    let mut request = Request {
        unit: Unit::Cm,
        body,
        figure: Figure::default(),
        ease,
        rules: Rules { panel_rules, apportionment: Apportionment::Shares(shares) },
        corrections: Vec::new(),
        cutting: None,
        cloth: None,
        ruler: None,
    };
    if by_darts {
        request = with_darts(request, [darts(bytes)?, darts(bytes)?], Unit::Cm);
    }
    let allowances = Allowances::FIELDS.map(|field| allowance(bytes, &field));
    let [waist, side, hem, centre_back] = allowances;
    let mut cutting = Cutting {
        allowances: Allowances { waist: waist?, side: side?, hem: hem?, centre_back: centre_back? },
        opening: Opening::Given(5.0 + 55.0 * share(bytes)?),
        press: if bytes.arbitrary()? { Press::Centre } else { Press::Side },
        ..Cutting::default()
    };
    let cloth = Cloth {
        width: 40.0 + 360.0 * share(bytes)?,
        folded: bytes.arbitrary()?,
        one_way: bytes.arbitrary()?,
        selvedge: 1.0,
    };
    let kind = *bytes.choose(&[None, Some(WaistFinishKind::Waistband), Some(WaistFinishKind::Facing)])?;
    let lengths = WaistFinishLengths::from_array(numbers(bytes, WaistFinishLengths::FIELDS)?);
    cutting.finish = kind.map(|kind| WaistFinish { kind, lengths });
    Ok((request, cutting, cloth))
}

fn darts(bytes: &mut Unstructured) -> Result<Vec<([f64; 4], bool)>> {
    (0..bytes.int_in_range(0..=Darts::MAX_PER_PANEL)?)
        .map(|_| Ok((numbers(bytes, GivenDart::FIELDS)?, bytes.arbitrary()?)))
        .collect()
}

fn numbers<const N: usize>(bytes: &mut Unstructured, fields: [Field; N]) -> Result<[f64; N]> {
    let mut numbers = [0.0; N];
    for (number, field) in numbers.iter_mut().zip(fields) {
        let (min, max) = field.range(Unit::Cm);
        *number = min + (max - min) * share(bytes)?;
    }
    Ok(numbers)
}

/// Returns a random allowance: zero, or wide enough to distinguish the cut line from the seam line.
fn allowance(bytes: &mut Unstructured, field: &Field) -> Result<f64> {
    let (min, max) = field.range(Unit::Cm);
    let width = min + (max - min) * share(bytes)?;
    Ok(if width > min { width.max(min + MIN_DISTINCT_ALLOWANCE) } else { width })
}

/// Returns a random number from 0 to 1, both included.
fn share(bytes: &mut Unstructured) -> Result<f64> {
    Ok(f64::from(bytes.arbitrary::<u16>()?) / f64::from(u16::MAX))
}
