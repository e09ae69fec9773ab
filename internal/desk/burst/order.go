package burst

import (
	"context"
	"encoding/json"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
)

// settingOrder keeps the order in which the players take their turns: their ids, as
// JSON.
const settingOrder = "order of players"

// Order is the order in which the players take their turns, again and again; empty
// where a coach has set none. Who has retired or gone is left out.
func (x *Bursts) Order(ctx context.Context) ([]club.ID, error) {
	order, err := x.keptOrder(ctx)
	if err != nil || len(order) == 0 {
		return []club.ID{}, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(order, func(id club.ID) bool {
		return !slices.ContainsFunc(cat.Players, func(p club.Player) bool { return p.ID == id && !p.Retired })
	}), nil
}

func (x *Bursts) keptOrder(ctx context.Context) (order []club.ID, err error) {
	text, err := x.lib.Setting(ctx, settingOrder)
	if err != nil || text == "" {
		return nil, err
	}
	if json.Unmarshal([]byte(text), &order) != nil {
		//lint:ignore nilerr an unreadable setting counts as none
		return nil, nil
	}
	return order, nil
}

// SetOrder sets the order in which the players take their turns; an empty one leaves
// each turn to the player of the one before. Nobody stands in it twice.
func (x *Bursts) SetOrder(ctx context.Context, order []club.ID) error {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	for i, id := range order {
		if _, err := library.Find(cat.Players, id, func(p club.Player) club.ID { return p.ID }, "player"); err != nil {
			return err
		}
		if slices.Contains(order[:i], id) {
			return &club.Problem{Field: "order", Say: "A player stands in the order twice: take one of them out."}
		}
	}
	return x.lib.SetSetting(ctx, settingOrder, orderText(order))
}

func orderText(order []club.ID) string {
	if len(order) == 0 {
		return ""
	}
	text, err := json.Marshal(order)
	if err != nil {
		panic("burst: ids as JSON: " + err.Error())
	}
	return string(text)
}

// next is who plays after a player: the next of the order, its first where the player
// is not in it, the same player where there is none.
func next(order []club.ID, last club.ID) club.ID {
	if len(order) == 0 {
		return last
	}
	return order[(slices.Index(order, last)+1)%len(order)]
}

// SettingsWithout are the settings of the clips that go, empty, and the order of the
// players without the one who goes.
func (x *Bursts) SettingsWithout(ctx context.Context, player club.ID, clips []club.ID) (map[string]string, error) {
	order, err := x.keptOrder(ctx)
	if err != nil {
		return nil, err
	}
	order = slices.DeleteFunc(order, func(id club.ID) bool { return id == player })
	settings := map[string]string{settingOrder: orderText(order)}
	for _, id := range clips {
		settings[settingBursts(id)] = ""
	}
	return settings, nil
}
