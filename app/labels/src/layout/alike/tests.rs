use super::*;
use crate::Code;
use crate::layout::layout;
use crate::stock::{ROLLS, Size, sheets};
use crate::text::{Fact, Lack, Line};

/// Tubs of one clutch's babies, whose texts are of several lengths.
fn tubs() -> Vec<LabelText> {
    let morphs = ["", "amel", "normal het amel", "hypomelanistic, het amelanistic, possible het anerythristic 66 %"];
    let names = ["26-014-A", "26-014-B", "Bo", "26-014-D of the second box"];
    let each = names.iter().zip(morphs).enumerate();
    each.map(|(i, (name, morph))| {
        let lines = vec![
            Line::Strong("Kingsnake".into()),
            Line::Plain(morph.into()),
            Line::Fact(Fact::new("HATCHED", "9 Jun", "")),
            Line::Plain("Bel × Moss".into()),
        ];
        let code = Code::of(["7K3QX2M9", "8K3QX2M9", "9K3QX2M9", "AK3QX2M9"][i]).expect("an id");
        let link = format!("HTTPS://ALDERLANE.EXAMPLE/#/T/{}", code.id());
        LabelText { face: Face::Titled { title: (*name).into(), lines }, link, code, notes: Some("notes:".into()) }
    })
    .collect()
}

fn stocks() -> Vec<Stock> {
    let rolls = ROLLS.iter().map(|&(w, h)| Stock::Roll { label: Size { w, h }, dots: None });
    rolls.chain(sheets().into_iter().map(Stock::Sheet)).collect()
}

#[test]
fn siblings_have_their_squares_at_one_spot() {
    let mut apart = 0;
    for stock in stocks() {
        let alike = Alike::of(&tubs(), &stock).expect("a stock");
        let squares: Vec<_> = tubs()
            .iter()
            .map(|text| (alike.layout(text), layout(text, &stock).expect("a stock")))
            .filter(|(alike, own)| alike.lacks.is_empty() || own.lacks.len() >= alike.lacks.len())
            .filter_map(|(alike, own)| {
                let at = |drawing: &Drawing| drawing.square().map(|s| (s.x, s.y, s.module));
                apart += usize::from(at(&alike) != at(&own));
                at(&alike)
            })
            .collect();
        let whole = tubs().iter().all(|text| alike.layout(text).lacks.is_empty());
        assert!(!whole || squares.windows(2).all(|two| two[0] == two[1]), "{stock:?}: {squares:?}");
    }
    assert!(apart > 0, "some would have been arranged otherwise by themselves");
}

#[test]
fn no_label_says_less_for_being_like_the_others() {
    for stock in stocks() {
        let alike = Alike::of(&tubs(), &stock).expect("a stock");
        for text in tubs() {
            let (alike, own) = (alike.layout(&text), layout(&text, &stock).expect("a stock"));
            let left_out = |drawing: &Drawing| drawing.lacks.iter().filter(|(_, lack)| *lack == Lack::LeftOut).count();
            assert!(alike.lacks.len() <= own.lacks.len(), "{:?} {:?} on {stock:?}", alike.lacks, own.lacks);
            assert!(own.lacks.is_empty() <= (left_out(&alike) == 0), "{stock:?}");
        }
    }
}

#[test]
fn of_many_some_all_over_are_tried() {
    let all: Vec<usize> = (0..100).collect();
    let some: Vec<usize> = spread(&all, 4).copied().collect();
    assert_eq!(some, [0, 25, 50, 75]);
    assert_eq!(spread(&all[..3], 12).count(), 3);
    assert_eq!(spread(&all[..0], 12).count(), 0);
}
