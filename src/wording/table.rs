//! The table of texts: key and English template of each text that a drawing or a lesson prints.
//!
//! A name in braces is a placeholder. A length has its unit, unless the template has a unit after it, or its doc line
//! says where the unit is; the steps of a lesson name the unit once.

texts! {
    /// Mark between a whole number and its decimals.
    decimal_mark = ".";
    /// Unit after a length in centimetres.
    unit_cm = "cm";
    /// Unit after a length in inches.
    unit_in = "in";
    /// Unit after a length in millimetres.
    unit_mm = "mm";
    /// Unit after a length in yards.
    unit_yd = "yd";
    /// Two items of a list; a list of three is a pair and an item.
    pair = "{first} and {second}";

    /// Title of a draft, a pattern, an alteration or a lesson.
    title = "Straight skirt for waist {waist}, hip {hip}, hip depth {hip_depth}, length {length}; ease {waist_ease} at the waist, {hip_ease} at the hip ({unit})";
    /// Name on the pieces of a pattern or the pages of a lesson that has no name of its own.
    body_label = "waist {waist}, hip {hip} {unit}";
    /// Name of a piece; in capitals on the piece.
    back = "back";
    /// Name of a piece; in capitals on the piece.
    front = "front";
    /// Name of a piece; in capitals on the piece.
    waistband = "waistband";
    /// Name of a piece; in capitals on the piece.
    back_facing = "back facing";
    /// Name of a piece; in capitals on the piece.
    front_facing = "front facing";

    /// First line in a test square.
    test_square = "TEST SQUARE:";
    /// Second line in a test square.
    test_square_cm = "must measure 5 cm";
    /// Second line in a test square.
    test_square_in = "must measure 2 in";
    /// Label of the line that checks the scale of a draft.
    test_line_cm = "10 cm: measure before cutting";
    /// Label of the line that checks the scale of a draft.
    test_line_in = "4 in: measure before cutting";
    /// Last note of a pattern, a nest or an alteration.
    print_and_measure = "Print at 100 % and measure both test squares before cutting. Sew a trial garment (toile) first.";

    /// Note of a draft.
    draft_caution = "Seam lines: add allowances. Fold each dart shut before cutting the waist. Sew a trial garment (toile) first.";
    /// Line on the back of a draft.
    draft_back = "cut 2 (mirrored), centre back seam";
    /// Line on a panel of a draft.
    hip_width = "width at the hip {length}";
    /// Line on a panel of a draft.
    waist_width = "waist, darts closed, {length}";
    /// Length that the side seam of one panel adds to the waist, on a draft whose waist is wider than its hip.
    side_let_out = "let out at the side {length}";
    /// Suppression by the side seam of one panel, on a draft.
    side_taken_in = "taken in at the side {length}";
    /// Height of the waist at the centre, on a draft.
    centre_higher = "waist at the centre {length} higher than at the side";
    /// Height of the waist at the centre, on a draft.
    centre_lower = "waist at the centre {length} lower than at the side";
    /// Line on a back with a slanted centre.
    centre_back_inset = "centre back {length} in at the waist";
    /// Label of the hip line of a draft.
    hip_line_depth = "hip line at hip depth {length}";
    /// Label of the hem of a draft.
    hem_length = "hem {length}";
    /// Label between the panels of a draft.
    side_seam_length = "side seam {length}";
    /// Label along the centre back of a draft.
    centre_back_length = "centre back {length}";
    /// Label along the centre front of a draft.
    centre_front_length = "centre front, on the fold, {length}";
    /// Label of a dart of a draft; the unit is in the title.
    dart_size = "{width} wide × {length} long";
    /// Second label of a dart of a draft.
    dart_distance = "{distance} from the centre line";

    /// Label of a grain line.
    grain_line = "grain line";
    /// Label of a hip line, or step in a verdict.
    hip_line = "hip line";
    /// Name of a line or seam on a facing or waistband.
    centre_back = "centre back";
    /// Name of a line or seam on a waistband, in a lay or on a whole piece.
    centre_front = "centre front";
    /// Name of a seam on a waistband, or place in a verdict.
    side_seam = "side seam";
    /// Place of a dart on a waistband.
    dart = "dart";
    /// How a piece is cut.
    cut_one = "cut 1";
    /// How a piece is cut.
    cut_on_fold = "cut 1 on the fold";
    /// How a piece is cut.
    cut_mirrored = "cut 2 (mirrored)";
    /// How a facing or waistband is cut.
    interfacing = "also cut from interfacing";
    /// Number of a piece.
    piece_number = "{number} of {count}";
    /// How darts are pressed.
    press_to_centre = "press darts towards the centre";
    /// How darts are pressed.
    press_to_side = "press darts towards the side";
    /// Label along the centre back of a pattern.
    centre_back_seam = "centre back: seam";
    /// Label along the centre front of a pattern.
    centre_front_fold = "centre front: place on the fold";
    /// Label along the centre of a facing.
    place_on_fold = "place on the fold";
    /// Label of the end of a zip opening.
    zip_end = "zip opening ends here, {length}";
    /// Label of a vent.
    vent = "vent {height}: fold at the centre back, neaten the edge";
    /// Label of the fold of a waistband, or of cloth.
    fold = "fold";
    /// Label along the edge of a waistband.
    sew_to_waist = "sew this edge to the waist";
    /// Label of the end of a waistband.
    underlap = "underlap";

    /// Note of a pattern; `{pieces}` lists the names of the pieces.
    finished_girths = "Finished waist {waist}, finished hip {hip}, zip opening {zip}. {count} pieces: {pieces}.";
    /// Note of a pattern or nest.
    allowances = "Allowances included: waist {waist}, side {side}, hem {hem}, centre back {centre_back} {unit}; none at the fold.";
    /// Note of a pattern or nest with whole pieces, without a fold.
    unfolded_allowances = "Allowances included: waist {waist}, side {side}, hem {hem}, centre back {centre_back} {unit}.";
    /// Note of a pattern or nest.
    facing_note = "Facing: {depth} deep, drawn with the darts closed; allowances as on the skirt, but none at the lower edge: neaten that edge.";
    /// Note of a pattern.
    waistband_note = "Waistband: {width} wide when folded, for a waist of {waist} and an underlap of {underlap}; the allowance of the waist on all edges.";
    /// Note of a nest.
    nest_waistband_note = "Waistband: {width} wide when folded, for the waist of each size and an underlap of {underlap}; the allowance of the waist on all edges.";
    /// Note of a pattern or nest, or paragraph of a lesson; `{caution}` is one of the cautions.
    caution = "Caution: {caution}";
    /// Note of a pattern; `{lengths}` is the length for the width of the cloth.
    cloth_to_buy = "Cloth to buy: {lengths}. A lay plan shows how to lay the pieces.";
    /// Note of a pattern; `{lengths}` lists lengths for widths of cloth.
    plain_cloth_to_buy = "Cloth to buy if it has no nap or print: {lengths}. A lay plan shows how to lay the pieces.";
    /// Length of cloth for a width of cloth; `{fold}` is one of the four keys on how cloth is laid.
    cloth_at_width = "{length} at {width} wide, {fold}";
    /// Note of a pattern.
    notions = "Notions: thread, a zip of {zip}.";
    /// Note of a pattern.
    notions_for_waistband = "Notions: thread, a zip of {zip}, interfacing, a button or a hook for the waistband.";
    /// Note of a pattern.
    notions_for_facing = "Notions: thread, a zip of {zip}, interfacing, a hook and eye.";
    /// Note of a pattern.
    line_styles = "Solid: cut. Dashed: stitch. Dash-dot: fold. Do not cut or stitch hip line, grain line, zip mark or the lines at which to lengthen.";

    /// Title of a nest.
    nest_title = "Straight skirt, {sizes}; ease {waist} at the waist, {hip} at the hip ({unit})";
    /// Sizes of a nest.
    size_range = "{count} sizes, {first} to {last}";
    /// Sizes of a nest of one size, and name of a layer.
    one_size = "size {name}";
    /// Note of a nest.
    find_size = "Measure waist and hip, find your size in the key by the hip, and follow its line and its name on every piece; alter the waist. Between two \
        sizes take the larger, unless your hip is at most {tolerance} larger than that of the smaller.";
    /// Note of a nest without allowances.
    nest_seam_lines = "The lines are seam lines: add allowances. Dash-dot: fold.";
    /// Note of a nest with allowances; `{allowances}` is the text of the key `allowances`.
    nest_cut_lines = "The lines are cut lines. Dash-dot: fold. {allowances}";
    /// Note of a pattern or nest with a vent.
    nest_vent = "Vent {height} high: cut it with the back, neaten its edge, fold it in at the centre back on one half, and stitch across both at the notch.";
    /// Note of a nest; `{layer}` is the text `one_size` of the smallest size.
    size_layers = "Each size is a layer, such as \"{layer}\": open the list of layers of a viewer and switch off the other sizes.";
    /// Label of a line of a pattern or nest.
    lengthen_here = "lengthen or shorten here";
    /// Head of a column in the key of a nest.
    key_size = "size ({unit})";
    /// Head of a column in the key of a nest.
    key_finished_waist = "finished waist";
    /// Head of a column in the key of a nest.
    key_finished_hip = "finished hip";

    /// First step on the cover of a tiled print; `{tiles}`, `{rows}` and `{columns}` are counts with their nouns.
    print_sheets = "1. Print {sheets} sheets: this page and {tiles} in {rows} and {columns}.";
    /// First step on the cover of a tiled print whose pieces were moved.
    print_fewer_sheets = "1. Print {sheets} sheets ({saved} saved by moving the pieces): this page and {tiles} in {rows} and {columns}.";
    /// Sentence after the first step.
    empty_tiles = "Tiles without a line are not printed: {tiles}.";
    /// Count in the first step.
    tiles_one = "1 tile";
    /// Count in the first step.
    tiles_many = "{count} tiles";
    /// Count in the first step.
    rows_one = "1 row";
    /// Count in the first step.
    rows_many = "{count} rows";
    /// Count in the first step.
    columns_one = "1 column";
    /// Count in the first step.
    columns_many = "{count} columns";
    /// Second step for tiles that overlap.
    trim_two_sides = "2. Trim each tile along the left and upper sides of its dotted frame.";
    /// Second step for tiles that do not overlap.
    trim_four_sides = "2. Trim each tile along all four sides of its dotted frame.";
    /// Third step for tiles that overlap.
    glue_tiles = "3. Glue the trimmed edges onto the dotted lines of the tiles to the left and above, overlapping by {overlap} mm, so that crosses coincide.";
    /// Third step for tiles that do not overlap.
    tape_tiles = "3. Tape neighbouring tiles together, edge to edge, so that the halves of each cross meet.";
    /// Last note on the cover of a tiled print, above the map.
    map_caution = "The map below shows the tiles reduced: do not cut it.";
    /// Label of a tile.
    tile_label = "tile {tile}, {number} of {count}";
    /// Label of an edge of a tile that overlaps the next.
    tile_glued_here = "{tile} is glued on here";
    /// Label of an edge of a tile that does not overlap the next.
    tile_taped_here = "{tile} is taped on here";

    /// Start of the title of a lay.
    lay_plan = "Lay plan";
    /// Start of the title of the lay of a pattern with a name.
    named_lay_plan = "{name}, lay plan";
    /// Title of a lay; `{plan}` is one of the two keys above, `{fold}` one of the four below.
    lay_title = "{plan}: cloth {width} wide, {fold}; scale 1 : {scale}";
    /// How cloth is laid.
    cloth_folded = "folded lengthwise, right sides together";
    /// How cloth is laid, and its pieces.
    cloth_folded_one_way = "folded lengthwise, right sides together, all pieces pointing the same way";
    /// How cloth is laid.
    cloth_open = "laid open";
    /// How cloth is laid, and its pieces.
    cloth_open_one_way = "laid open, all pieces pointing the same way";
    /// Note of a lay.
    lay_note = "Length needed {length}: buy {to_buy}. {waste} % of the needed cloth is left over. Pre-shrink the cloth before cutting.";
    /// Second note of a lay on folded cloth.
    laid_open_is_enough = "Laid open, {length} is enough.";
    /// Label of an edge of cloth.
    selvedge = "selvedge";
    /// How a piece of a lay is cut.
    cut_one_layer = "cut one layer";
    /// How a piece of a lay is cut.
    cut_both_layers = "cut both layers";
    /// How a piece of a lay is placed.
    lay_on_fold = "on the fold";
    /// How a facing is laid.
    turn_over = "turn over at the centre";
    /// How the front is laid on open cloth: up to three lines, with an upright bar between lines.
    trace_and_turn_over = "trace, turn over|at the centre,|trace again";
    /// How a piece of a lay is placed.
    printed_side_up = "printed side up";
    /// How a piece of a lay is placed.
    printed_side_down = "printed side down";
    /// How a piece of a lay is placed.
    turned_hem_above = "turned: hem above";
    /// How a facing or waistband is placed.
    upside_down = "turned upside down";

    /// Legend of an alteration.
    alteration_lines = "Grey: printed sizes. Solid black: altered. Dashed black: exact draft. Hip lines in grey: new dashed, printed dotted.";
    /// Note of an alteration.
    alteration_step = "Step {number}. {step}";
    /// Note of an alteration; `{changes}` lists what stays.
    left_as_printed = "Left as printed, as too small to matter: {changes}.";
    /// Note of an alteration.
    alteration_caution = "These are seam lines: alter the sizes printed without allowances, and add the allowances afterwards.";
    /// Change too small to make, in the note `left_as_printed`.
    waist_stays_larger = "the waist stays, though the body's is {by} larger than that of the nearest size";
    /// Change too small to make, in the note `left_as_printed`.
    waist_stays_smaller = "the waist stays, though the body's is {by} smaller than that of the nearest size";
    /// Change too small to make, in the note `left_as_printed`.
    hip_stays_larger = "the hip stays, though the body's is {by} larger than that of the nearest size";
    /// Change too small to make, in the note `left_as_printed`.
    hip_stays_smaller = "the hip stays, though the body's is {by} smaller than that of the nearest size";
    /// Change too small to make, in the note `left_as_printed`.
    hip_line_stays_lower = "the hip line stays, though the body's is {by} lower than the printed one";
    /// Change too small to make, in the note `left_as_printed`.
    hip_line_stays_higher = "the hip line stays, though the body's is {by} higher than the printed one";
    /// Change too small to make, in the note `left_as_printed`.
    darts_stay_lower = "the dart tips stay as printed; for this body they would be up to {by} lower";
    /// Change too small to make, in the note `left_as_printed`.
    darts_stay_higher = "the dart tips stay as printed; for this body they would be up to {by} higher";
    /// Change too small to make, in the note `left_as_printed`.
    hem_stays_lower = "the hem stays as printed; for this body it would be {by} lower";
    /// Change too small to make, in the note `left_as_printed`.
    hem_stays_higher = "the hem stays as printed; for this body it would be {by} higher";
    /// Step of an alteration.
    trace_waist = "Waist, back and front alike: trace the waist line of size {size} from centre to side, and the darts.";
    /// Step of an alteration; `{place}` lies between two lines.
    mark_waist = "Waist, back and front alike: mark {place} at the centre, at the legs and tips of the darts, and at the side; join the marks with a curve \
        shaped like the waist lines of both sizes.";
    /// Sentence after the step above.
    unequal_darts = "On a panel where the two sizes have different numbers of darts, trace the waist line and the darts of size {size} instead, level with \
        the side mark, and lengthen or shorten the waist line to end at the side mark.";
    /// Place between the printed lines of two sizes.
    half_way_between_lines = "half-way between the lines of sizes {from} and {to}";
    /// Place between two lines; `{share}` is one of the five keys below.
    share_between_lines = "{share} of the way from the line of size {from} to the line of size {to}";
    /// Place between the side seams of two sizes.
    half_way_between_seams = "half-way between the side seams of sizes {from} and {to}";
    /// Place between the side seams of two sizes.
    share_between_seams = "{share} of the way from the side seam of size {from} to the side seam of size {to}";
    /// Share of a way.
    quarter = "a quarter";
    /// Share of a way.
    third = "a third";
    /// Share of a way.
    two_thirds = "two thirds";
    /// Share of a way.
    three_quarters = "three quarters";
    /// Share of a way.
    percent = "{percent} %";
    /// Step of an alteration.
    mark_hip_of_size = "Hip: mark the side seam of size {size} on the hip line.";
    /// Step of an alteration.
    mark_hip = "Hip: on the hip line, mark {place}.";
    /// Step of an alteration.
    mark_hip_outside = "Hip: on the hip line, mark {place}, {shift} outside the side seam of size {size}.";
    /// Step of an alteration.
    hip_line_down = "Hip line: measure {depth} straight down from the waist at the side; draw a new hip line there, {by} below the printed hip line, and \
        move the hip mark straight down to the new line.";
    /// Step of an alteration.
    hip_line_up = "Hip line: measure {depth} straight down from the waist at the side; draw a new hip line there, {by} above the printed hip line, and move \
        the hip mark straight up to the new line.";
    /// Sentence after one of the two steps above; `{moves}` is a pair or the key `move_at`.
    waist_line_higher = "Draw the waist line higher by {moves}, to nothing at the side, as long as before.";
    /// Sentence after one of the two steps above; `{moves}` is a pair or the key `move_at`.
    waist_line_lower = "Draw the waist line lower by {moves}, to nothing at the side, as long as before.";
    /// By how much the waist line moves, and where: `{place}` is the name of a centre, or a pair of both.
    move_at = "{by} at the {place}";
    /// Step of an alteration; `{darts}` is a pair or one of the four keys below.
    lengthen_darts = "Darts: lengthen {darts}, along their centre lines, as the hip line moves. Optional: else the tips lie up to {by} higher than in the exact draft.";
    /// Step of an alteration.
    shorten_darts = "Darts: shorten {darts}, along their centre lines, as the hip line moves. Optional: else the tips lie up to {by} lower than in the exact draft.";
    /// Darts and by how much they change.
    back_dart_by = "the back dart by {by} {unit}";
    /// Darts and by how much they change; `{by}` may be a pair.
    back_darts_by = "the back darts by {by} {unit}";
    /// Darts and by how much they change.
    front_dart_by = "the front dart by {by} {unit}";
    /// Darts and by how much they change; `{by}` may be a pair.
    front_darts_by = "the front darts by {by} {unit}";
    /// Step of an alteration.
    join_side = "Side: join the side end of the waist line to the hip mark with a shallow curve that meets the hip line at a right angle; from there draw \
        straight down to the hem.";
    /// Sentence after the step above.
    join_centre = "Draw the centre back straight from waist line to hip line.";
    /// Step of an alteration that keeps the side seam of a size.
    trace_side = "Side: trace the side seam of size {size}; if the hem lies lower, draw straight down.";
    /// Step of an alteration.
    trace_hem = "Hem: trace the hem of size {size}, {length} straight down from the waist at the side, level across the panel.";
    /// Step of an alteration.
    hem_below = "Hem: draw a line {by} below the hem of size {size}, {length} straight down from the waist at the side, level across the panel.";
    /// Step of an alteration.
    hem_above = "Hem: draw a line {by} above the hem of size {size}, {length} straight down from the waist at the side, level across the panel.";
    /// Verdict on an alteration; `{waist}` and `{side}` are two of the six keys below.
    sews_together = "The pattern sews together: the sewn waist is {waist}, the side seam of the front is {side}.";
    /// Whether an altered pattern can be sewn.
    sews_not = "The pattern does not sew together: the sewn waist is {waist}, the side seam of the front is {side}.";
    /// Sewn waist compared with the wanted waist, in a verdict.
    waist_equal = "as long as the wanted waist ({mm} mm)";
    /// Sewn waist compared with the wanted waist, in a verdict.
    waist_longer = "{mm} mm longer than the wanted waist";
    /// Sewn waist compared with the wanted waist, in a verdict.
    waist_shorter = "{mm} mm shorter than the wanted waist";
    /// Side seam of the front compared with that of the back, in a verdict.
    side_equal = "as long as that of the back ({mm} mm)";
    /// Side seam of the front compared with that of the back, in a verdict.
    side_longer = "{mm} mm longer than that of the back";
    /// Side seam of the front compared with that of the back, in a verdict.
    side_shorter = "{mm} mm shorter than that of the back";
    /// Difference of an altered pattern from the exact draft.
    equals_draft = "The pattern equals the exact draft.";
    /// Difference of an altered pattern from the exact draft; `{differences}` lists places.
    within_tolerance = "The pattern is within {tolerance} mm of the exact draft: {differences}.";
    /// Difference of an altered pattern from the exact draft.
    over_tolerance = "The pattern is over {tolerance} mm from the exact draft: {differences}.";
    /// Difference in a verdict.
    difference_by_step = "{place} {mm} mm (step {number})";
    /// Difference in a verdict; `{step}` is the name of a step.
    difference_left_out = "{place} {mm} mm (left out: {step})";
    /// Difference in the number of darts, in the verdict on an alteration.
    unequal_back_dart = "the exact draft has {count} back dart, the pattern has {drawn}";
    /// Difference in the number of darts, in the verdict on an alteration.
    unequal_back_darts = "the exact draft has {count} back darts, the pattern has {drawn}";
    /// Difference in the number of darts, in the verdict on an alteration.
    unequal_front_dart = "the exact draft has {count} front dart, the pattern has {drawn}";
    /// Difference in the number of darts, in the verdict on an alteration.
    unequal_front_darts = "the exact draft has {count} front darts, the pattern has {drawn}";
    /// Place in a verdict.
    waist_line = "waist line";
    /// Place or step in a verdict.
    darts = "darts";
    /// Place in a verdict.
    hip_girth = "hip girth";
    /// Place in a verdict.
    hem = "hem";
    /// Place in a verdict.
    centre_line = "centre line";

    /// Title of a lesson.
    lesson_title = "A straight skirt, drawn by hand";
    /// Foot of a page of a lesson.
    lesson_foot = "{name}: page {number} of {count}";
    /// First paragraph of a lesson; `{unit}` is one of the three keys below.
    lesson_numbers = "Waist {waist}, hip {hip}, hip depth {hip_depth}, length {length}; ease {waist_ease} at the waist and {hip_ease} at the hip. Half a \
        back and half a front are drawn, with pencil, ruler, set square and hip curve. All lengths are in {unit}. This is geometry, not fit: sew a trial \
        garment (toile) first.";
    /// Paragraph of a lesson, or note of a pattern; `{rules}` lists names of rules with their values.
    other_rules = "Set for this skirt, as after a fitting: {rules}.";
    /// Rule of a draft whose darts are given.
    given_darts_rule = "the darts";
    /// Unit in words.
    centimetres = "centimetres";
    /// Unit in words.
    inches = "inches";
    /// Unit in words.
    millimetres = "millimetres";
    /// Heading of a lesson.
    lesson_measure = "Measure";
    /// Paragraph of a lesson.
    measure_snugly = "Measure snugly, over what will be worn under the skirt.";
    /// Measurement of a lesson, or head in the key of a nest.
    waist = "waist";
    /// Instruction for the measurement `waist`.
    how_waist = "around the natural waist, where a narrow tape tied around the body settles";
    /// Measurement of a lesson, or head in the key of a nest.
    hip = "hip";
    /// Instruction for the measurement `hip`.
    how_hip = "around the fullest part of the hip, level all around";
    /// Measurement of a lesson, or head in the key of a nest.
    hip_depth = "hip depth";
    /// Instruction for the measurement `hip_depth`.
    how_hip_depth = "at the side, from the waist straight down to the level of the fullest hip, not along the curve";
    /// Measurement of a lesson, or head in the key of a nest.
    length = "length";
    /// Instruction for the measurement `length`.
    how_length = "at the side, from the waist straight down to where the hem is wanted";
    /// Measurement of a lesson.
    front_length = "front length";
    /// Instruction for the measurement `front_length`.
    how_front_length = "from the waist at the centre front straight down to the floor";
    /// Measurement of a lesson.
    side_length = "side length";
    /// Instruction for the measurement `side_length`.
    how_side_length = "from the waist at the side straight down to the floor";
    /// Measurement of a lesson.
    back_length = "back length";
    /// Instruction for the measurement `back_length`.
    how_back_length = "from the waist at the centre back straight down to the floor";
    /// Measurement of a lesson.
    front_hip = "front hip";
    /// Instruction for the measurement `front_hip`.
    how_front_hip = "over the front at the fullest hip, from side seam to side seam";
    /// Measurement of a lesson.
    front_waist = "front waist";
    /// Instruction for the measurement `front_waist`.
    how_front_waist = "over the front at the waist, from side seam to side seam";
    /// Measurement of a lesson.
    high_hip = "high hip";
    /// Instruction for the measurement `high_hip`.
    how_high_hip = "around belly or upper hip, where they are fullest";
    /// Measurement of a lesson.
    high_hip_depth = "high hip depth";
    /// Instruction for the measurement `high_hip_depth`.
    how_high_hip_depth = "at the side, from the waist straight down to the high hip";
    /// Paragraph of a lesson.
    method_limits = "The method does not know cloth, posture or taste: it knows girths and heights. Two bodies with the same numbers get the same skirt; a \
        full belly, a swayed back or unequal hips show only on the body. The trial garment decides.";
    /// Paragraph of a lesson for a measured figure, instead of the one above.
    method_limits_of_figure = "What was measured of the figure is drawn: lengths to the floor tilt the waist, front hip and front waist place the side seams, \
        a high hip widens the skirt there. The method does not know cloth, posture, taste or unequal hips. The trial garment decides.";
    /// Heading of a lesson.
    lesson_back = "Draw the back";
    /// Heading of a lesson.
    lesson_front = "Draw the front";
    /// Paragraph above the steps of a lesson.
    lesson_legend = "\"Out\" is towards the side, \"in\" towards the centre. * common practice; a step without a mark is derived from the method.";
    /// Step of a lesson; `{mark}` is one of the two keys below, `{centre}` of the three after them.
    frame_centre = "{mark} Draw a line from A straight down: {centre}. On it measure from A down {hip_depth} to B, and down {length} to C.";
    /// Start of the step above.
    mark_a = "Mark A near the upper edge of the paper.";
    /// Start of the step above, where the waist rises above A.
    mark_a_lower = "Mark A at least {rise} below the upper edge of the paper, as the waist rises above A.";
    /// Line in the step above.
    the_centre_back_guide = "the centre back, which above the hip line is only a guide";
    /// Line in the step above.
    the_centre_back = "the centre back";
    /// Line in the step above.
    the_centre_front = "the centre front, which is later placed on the fold";
    /// Step of a lesson.
    frame_square = "Square out from A, B and C, towards the side. Measure {width} on each line: D, E and F. Join D, E and F. The line from B to E is the hip \
        line, from C to F the hem, from E to F the lower side seam.";
    /// Point to mark, in a step of a lesson.
    mark_at = "at {from} mark {to}";
    /// Point to mark, in a step of a lesson; `{way}` is a pair or one of the four keys below.
    mark_from = "from {from} {way} to {to}";
    /// Way from point to point.
    way_out = "out {length}";
    /// Way from point to point.
    way_in = "in {length}";
    /// Way from point to point.
    way_down = "down {length}";
    /// Way from point to point.
    way_up = "up {length}";
    /// Step of a lesson; `{side}` and `{centre}` are points to mark.
    waist_ends = "Mark the ends of the waist: {side} at the side, and {centre} at the centre.";
    /// Sentence after the step above.
    waist_end_joined = "Join H to B: the centre back seam.";
    /// Step of a lesson.
    draw_side_seam = "Side seam: {points}. Draw a smooth curve from G through these points to E. At E it runs into the straight side seam without a corner.";
    /// Step of a lesson; `{dart}` is one of the four keys below.
    draw_dart = "{dart}: {mouth}. This is its mouth, {width} wide. Its tip lies {length} below the mouth's middle: {tip}. Join {inner} and {outer} to {end}.";
    /// Name of a dart at the start of its step.
    only_dart = "Dart";
    /// Name of a dart at the start of its step.
    centre_dart = "Dart nearest the centre";
    /// Name of a dart at the start of its step.
    middle_dart = "Middle dart";
    /// Name of a dart at the start of its step.
    side_dart = "Dart nearest the side";
    /// Step of a lesson; `{curves}` lists points.
    draw_waist = "Waist: {points}. Draw a smooth curve from {curves}. Each curve meets the lines at its ends at right angles.";
    /// Curve in the step above.
    through_point = "{from} through {middle} to {to}";
    /// Last step of a lesson; `{piece}` is the name of the piece and how it is cut.
    check_panel = "Check: measured along its curves only, the waist is {waist}; the side seam from G to F is {side}. Draw an arrow \
        parallel to the line from A to C: the grain line. Write on the piece: {piece}. These are seam lines: add allowances.";
    /// Heading of a lesson.
    lesson_exactness = "How exact it is";
    /// Paragraph of a lesson; `{step}` is one of the three keys below, `{waist}` and `{side}` of the two after them.
    lesson_rounding = "With every length rounded to {step}, and the curves as smooth as a hip curve draws them, no line lies more than {distance} mm from \
        the computed pattern, the sewn waist is {waist} all around, and each side seam {side}. To keep this waist, its parts may differ from a drawing by one such step.";
    /// Step to which lengths are rounded.
    the_millimetre = "the millimetre";
    /// Step to which lengths are rounded.
    the_sixteenth = "the sixteenth of an inch";
    /// Step to which lengths are rounded.
    the_eighth = "the eighth of an inch";
    /// Difference by rounding.
    as_computed = "as long as computed";
    /// Difference by rounding.
    mm_longer = "{mm} mm longer";
    /// Difference by rounding.
    mm_shorter = "{mm} mm shorter";
    /// Heading of a lesson.
    lesson_sew = "Sew a trial garment";
    /// Step of sewing a trial garment.
    sew_1 = "Cut back and front in cheap firm cloth, 2 cm (1 in) outside the seam lines at sides and centre back, 1 cm (1/2 in) at waist and hem. Mark seam \
        lines, hip line and grain on the cloth.";
    /// Step of sewing a trial garment.
    sew_2 = "Sew each dart from its mouth to its tip, and press it towards the centre.";
    /// Step of sewing a trial garment.
    sew_3 = "Sew the centre back below the opening, then the sides, with the hip lines of back and front on each other.";
    /// Step of sewing a trial garment.
    sew_4 = "Sew a tape along the waist line, so that it does not stretch.";
    /// Step of sewing a trial garment.
    sew_5 = "Put the trial garment on over what will be worn under the skirt, and pin the opening shut.";
    /// Step of sewing a trial garment.
    sew_6 = "Look from the front, the side and the back: are the hip line level, the side seams upright, the hem level? Walk, sit and climb a step.";
    /// Heading of a lesson.
    lesson_correct = "Look, pin and correct";
    /// Paragraph of a lesson.
    pin_and_measure = "Pin until the trial garment hangs well, and measure how much each pin takes in or lets out. Correct the draft by these lengths.";
    /// Sign of bad fit.
    sign_waist = "The waist is tight or loose.";
    /// Its correction.
    correct_waist = "Change it all around: what is pinned double at both sides counts four times.";
    /// Sign of bad fit.
    sign_waist_back = "The waist stands off at the back.";
    /// Its correction.
    correct_waist_back = "Take in the centre back seam at the waist.";
    /// Sign of bad fit.
    sign_tight_hip = "Folds cross the hip, or the skirt slides up.";
    /// Its correction.
    correct_tight_hip = "Let the hip out.";
    /// Sign of bad fit.
    sign_loose_hip = "Loose cloth hangs in upright folds at the hip.";
    /// Its correction.
    correct_loose_hip = "Take the hip in.";
    /// Sign of bad fit.
    sign_back_fold = "A fold lies across the back below the waist.";
    /// Its correction.
    correct_back_fold = "Lower the waist line at the centre back.";
    /// Sign of bad fit.
    sign_hem_back = "The hem rises at the back.";
    /// Its correction.
    correct_hem_back = "Raise the waist line at the centre back.";
    /// Sign of bad fit.
    sign_hem_front = "The hem rises in front.";
    /// Its correction.
    correct_hem_front = "Raise the waist line at the centre front.";
    /// Sign of bad fit.
    sign_side_seam = "The side seam runs to the front or the back.";
    /// Its correction.
    correct_side_seam = "Front: more balance. Back: less balance.";
    /// Sign of bad fit.
    sign_side_fullness = "The cloth pulls or hangs empty between waist and hip.";
    /// Its correction.
    correct_side_fullness = "Make the side seams fuller or flatter: a side fullness changed by 0.2 is a start.";
    /// Sign of bad fit.
    sign_belly = "The skirt is tight over the belly.";
    /// Its correction.
    correct_belly = "Make the side seams fuller, and raise the waist line at the centre front.";
    /// Sign of bad fit.
    sign_dart = "A dart pokes at its tip, or ends too high.";
    /// Its correction.
    correct_dart = "Shorten or lengthen the dart.";
    /// Sign of bad fit.
    sign_hip_line = "The fullest hip lies above or below the hip line.";
    /// Its correction.
    correct_hip_line = "Raise or lower the hip line.";
    /// Sign of bad fit.
    sign_hem = "The hem is too high or too low all around.";
    /// Its correction.
    correct_hem = "Lengthen or shorten the skirt.";
}

/// Field name of each rule that is a number, and its English name.
pub(super) const RULE_NAMES: &[(&str, &str)] = &[
    ("balance", "balance"),
    ("centre_back_lower", "centre back lower"),
    ("centre_front_lower", "centre front lower"),
    ("centre_back_in", "centre back in"),
    ("side_fullness", "side fullness"),
    ("back_share", "back share"),
    ("front_share", "front share"),
    ("back_largest_dart", "back largest dart"),
    ("front_largest_dart", "front largest dart"),
    ("smallest_dart", "smallest dart"),
    ("steepest_side", "steepest side"),
    ("back_inner_length", "back inner length"),
    ("back_outer_length", "back outer length"),
    ("front_inner_length", "front inner length"),
    ("front_outer_length", "front outer length"),
    ("single_place", "single place"),
    ("inner_place", "inner place"),
    ("outer_place", "outer place"),
];
